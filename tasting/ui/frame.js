// What Streamlit leaves out around our pages: a landmark for the menu, the page that is open,
// and a plain sentence instead of a developer's dialog when the server cannot be reached.
const AWAY = "Cannot reach the server. What was saved is safe. This page goes on when it is back.";
const LOST_AFTER_MS = 1500;

function nameTheMenu() {
  const menu = document.querySelector(".st-key-menu");
  if (!menu) return;
  if (menu.getAttribute("role") !== "navigation") {
    menu.setAttribute("role", "navigation");
    menu.setAttribute("aria-label", "Main");
  }
  for (const link of menu.querySelectorAll("a[data-testid='stPageLink-NavLink']")) {
    const address = (link.getAttribute("href") || "").split("?")[0].split("/").pop();
    const here = (address || "dashboard") === document.documentElement.dataset.section;
    if (here !== (link.getAttribute("aria-current") === "page"))
      here ? link.setAttribute("aria-current", "page") : link.removeAttribute("aria-current");
  }
}

// A table that scrolls sideways on a phone has to be reached by the keyboard.
const widths = new ResizeObserver((changed) => {
  for (const { target } of changed) {
    const box = target.parentElement;
    if (box && box.scrollWidth > box.clientWidth && box.tabIndex < 0) box.tabIndex = 0;
  }
});

function nameTheRest() {
  document.documentElement.lang = "en";
  const block = document.querySelector("[data-testid='stMain']");
  if (block && block.tagName !== "MAIN" && !block.getAttribute("role")) block.setAttribute("role", "main");
  for (const table of document.querySelectorAll(".reading table")) widths.observe(table);
  // A group that is called by its label may be named, a part of the presentation may not.
  for (const drop of document.querySelectorAll("[data-testid='stFileUploaderDropzone'][role='presentation']"))
    drop.setAttribute("role", "group");
}

// Streamlit's own word for it lies over the page and makes it inert, our sentence too.
function closeItsDialog() {
  for (const dialog of document.querySelectorAll("[role='dialog']"))
    if (dialog.querySelector("h2")?.textContent === "Connection error")
      dialog.querySelector("button[aria-label='Close']")?.click();
}

function sayAway(lost) {
  let note = document.getElementById("away");
  if (!note) {
    note = document.createElement("p");
    note.id = "away";
    note.setAttribute("role", "status");
    document.body.prepend(note);
  }
  const said = lost ? AWAY : "";
  if (note.textContent !== said) note.textContent = said;
  document.documentElement.classList.toggle("away", lost);
}

function watch() {
  const app = document.querySelector("[data-testid='stApp']");
  if (!app) return () => {};
  let waiting = 0;
  const look = () => {
    const connected = app.getAttribute("data-test-connection-state") === "CONNECTED";
    clearTimeout(waiting);
    if (connected) sayAway(false);
    else waiting = setTimeout(() => sayAway(true), LOST_AFTER_MS);
  };
  const observer = new MutationObserver(look);
  observer.observe(app, { attributes: true, attributeFilter: ["data-test-connection-state"] });
  look();
  return () => observer.disconnect();
}

// Streamlit moves its folds by a script, whatever somebody's system asks for.
function keepStill() {
  const animate = Element.prototype.animate;
  if (animate.still) return;
  Element.prototype.animate = function (frames, timing) {
    const asked = typeof timing === "number" ? { duration: timing } : timing;
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    return animate.call(this, frames, still ? { ...asked, duration: 0, delay: 0, iterations: 1 } : asked);
  };
  Element.prototype.animate.still = true;
}

export default function (component) {
  document.documentElement.dataset.section = component.data.section;
  keepStill();
  const tidy = () => { nameTheMenu(); nameTheRest(); };
  tidy();
  // Once before the page is painted, however much changed; a dialog goes before anyone sees it.
  let due = 0;
  const observer = new MutationObserver(() => {
    closeItsDialog();
    due ||= requestAnimationFrame(() => { due = 0; tidy(); });
  });
  observer.observe(document.body, { childList: true, subtree: true });
  const stop = watch();
  return () => { observer.disconnect(); stop(); };
}
