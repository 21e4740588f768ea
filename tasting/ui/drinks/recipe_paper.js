// A sheet to write a recipe on, and beside each line how it was understood.
// What is typed goes to the server shortly after the last key; a choice that the server makes comes
// back under a new edition, and only then the sheet is written anew.
const PAUSE_MS = 350;

function listed(lines) {
  return lines.map((line) => {
    const item = document.createElement("li");
    item.className = line.state;
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
    sheet.value = data.text;
  }
  sheet.rows = Math.max(8, sheet.value.split("\n").length + 1);
  beside.replaceChildren(...listed(data.lines));

  let waiting = 0;
  const send = () => {
    clearTimeout(waiting);
    if (sheet.value === sheet.dataset.sent) return;
    sheet.dataset.sent = sheet.value;
    setStateValue("typed", { edition: data.edition, text: sheet.value });
  };
  sheet.oninput = () => {
    sheet.rows = Math.max(8, sheet.value.split("\n").length + 1);
    clearTimeout(waiting);
    waiting = setTimeout(send, PAUSE_MS);
  };
  sheet.onblur = send;
  return () => clearTimeout(waiting);
}
