// A sheet to write a recipe on, and beside each line how it was understood.
// What is typed goes to the server shortly after the last key; a choice that the server makes comes
// back under a new edition, and only then the sheet is written anew.
const PAUSE_MS = 350;
const PHONE = matchMedia("(max-width: 640px)");
// What is being typed outlives the sheet, which Streamlit may put anew at any run.
const typing = (window.recipeTyping ??= {});

function listed(lines) {
  return lines.map((line, place) => {
    const item = document.createElement("li");
    const said = document.createElement("span");
    item.className = line.plain ? `${line.state} plain` : line.state;
    item.dataset.line = `${place + 1}: `;
    said.textContent = line.said || " ";
    item.append(said);
    return item;
  });
}

// A long line wraps: the sheet is as high as all its lines, and each note stands beside its own.
function align(sheet, beside, mirror) {
  const lines = sheet.value.split("\n").map((line) => {
    const copy = document.createElement("div");
    copy.textContent = line || " ";
    return copy;
  });
  mirror.replaceChildren(...lines);
  mirror.style.width = `${sheet.clientWidth}px`;
  const least = 6 * 32;
  sheet.style.height = `${Math.max(least, mirror.scrollHeight - 16) + 18}px`;
  [...beside.children].forEach((item, place) => {
    item.style.height = PHONE.matches || !lines[place] ? "" : `${lines[place].offsetHeight}px`;
  });
}

export default function (component) {
  const { data, parentElement, setStateValue } = component;
  const sheet = parentElement.querySelector("textarea");
  const beside = parentElement.querySelector("ol");
  const label = parentElement.querySelector("label");
  const mirror = parentElement.querySelector(".mirror");
  label.textContent = data.label;
  sheet.placeholder = data.example;
  if (sheet.dataset.edition !== data.edition) {
    sheet.dataset.edition = data.edition;
    const goesOn = typing.edition === data.edition;
    sheet.value = goesOn ? typing.text : data.text;
    sheet.dataset.sent = data.text;
    if (goesOn && typing.focused) {
      sheet.focus();
      sheet.setSelectionRange(typing.caret, typing.caret);
    }
  }
  const remember = () => {
    const focused = sheet.matches(":focus");
    Object.assign(typing, { edition: data.edition, text: sheet.value, caret: sheet.selectionEnd, focused });
  };
  beside.replaceChildren(...listed(data.lines));
  const laidOut = () => align(sheet, beside, mirror);
  laidOut();
  const watch = new ResizeObserver(laidOut);
  watch.observe(sheet.parentElement);

  let waiting = 0;
  const send = () => {
    clearTimeout(waiting);
    if (sheet.value === sheet.dataset.sent) return;
    sheet.dataset.sent = sheet.value;
    setStateValue("typed", { edition: data.edition, text: sheet.value });
  };
  sheet.onkeyup = sheet.onclick = remember;
  sheet.oninput = () => {
    remember();
    laidOut();
    clearTimeout(waiting);
    waiting = setTimeout(send, PAUSE_MS);
  };
  sheet.onblur = () => {
    // Not when the sheet itself was taken away.
    if (!sheet.isConnected) return;
    remember();
    send();
  };
  if (sheet.value !== sheet.dataset.sent) waiting = setTimeout(send, PAUSE_MS);
  return () => {
    clearTimeout(waiting);
    watch.disconnect();
  };
}
