// A sheet to write a recipe on, and beside each line how it was understood.
// What is typed goes to the server shortly after the last key; a choice that the server makes comes
// back under a new edition, and only then the sheet is written anew.
const PAUSE_MS = 350;
// What is being typed outlives the sheet, which Streamlit may put anew at any run.
const typing = (window.recipeTyping ??= {});

function listed(lines) {
  return lines.map((line, place) => {
    const item = document.createElement("li");
    item.className = line.plain ? `${line.state} plain` : line.state;
    item.dataset.line = `${place + 1}: `;
    item.textContent = line.said || " ";
    item.title = line.said;
    return item;
  });
}

export default function (component) {
  const { data, parentElement, setStateValue } = component;
  const sheet = parentElement.querySelector("textarea");
  const beside = parentElement.querySelector("ol");
  const label = parentElement.querySelector("label");
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
  sheet.rows = Math.max(8, sheet.value.split("\n").length + 1);
  beside.replaceChildren(...listed(data.lines));

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
    sheet.rows = Math.max(8, sheet.value.split("\n").length + 1);
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
  return () => clearTimeout(waiting);
}
