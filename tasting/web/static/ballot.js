"use strict";
// The ballot works without this. With it the page goes on in place, says what is chosen, counts the
// rest down, and sends an answer again, the same one, until it has come through.
(() => {
  const net = document.getElementById("net");
  const patience = 20000, longest = 15000;
  const TROUBLE = "no answer from the host's computer. Leave this page open, it keeps trying. "
    + "If this lasts, tell the host.";
  let busy = false;

  const until = (wait) => new Promise((go) => {
    setTimeout(go, wait);
    addEventListener("online", go, {once: true});
  });

  const ask = async (url, body) => {
    const stop = new AbortController();
    const late = setTimeout(() => stop.abort(), patience);
    try {
      const reply = await fetch(url, {
        method: body ? "POST" : "GET", body, headers: {"tasting-stays": "1"}, signal: stop.signal,
      });
      const fresh = new DOMParser().parseFromString(await reply.text(), "text/html");
      const main = fresh.querySelector("main[data-screen]");
      // Whatever else answers, a gate of the network or a server that is ill: ask again.
      return main && reply.status !== 429 && reply.status < 500 ? {fresh, main} : null;
    } catch {
      return null;
    } finally {
      clearTimeout(late);
    }
  };

  const go = async (url, body) => {
    for (let wait = 1000; ; wait = Math.min(2 * wait, longest)) {
      const got = await ask(url, body);
      if (got) return show(got);
      net.textContent = (body ? "Not sent yet: " : "") + TROUBLE;
      net.hidden = false;
      await until(wait);
    }
  };

  const show = ({fresh, main}) => {
    net.hidden = true;
    busy = false;
    document.title = fresh.title;
    document.querySelector("main").replaceWith(main);
    history.replaceState(null, "", "/ballot");
    scrollTo(0, 0);
    main.querySelector("h1").focus({preventScroll: true});
    begin(main);
  };

  const begin = (main) => {
    const left = main.querySelector("[data-left]");
    if (left) count(left, Date.now() + 1000 * left.dataset.left);
    const chosen = main.querySelector("[name=choice]:checked");
    if (chosen) tell(chosen);
  };

  const count = (left, end) => {
    if (!left.isConnected) return;
    const seconds = Math.ceil((end - Date.now()) / 1000);
    if (seconds <= 0) return go("/ballot");
    left.textContent = `${seconds} s`;
    setTimeout(count, 250, left, end);
  };

  const tell = (chosen) => {
    const said = document.getElementById("said");
    const choice = chosen.value.replaceAll("+", " + ");
    if (said) said.textContent = `You chose ${choice}. You may still change that.`;
  };

  document.documentElement.classList.add("js");
  document.addEventListener("change", (event) => {
    if (event.target.name === "choice" && event.target.type === "radio") tell(event.target);
  });
  document.addEventListener("submit", (event) => {
    event.preventDefault();
    if (busy) return;
    busy = true;
    const button = event.submitter;
    const body = new URLSearchParams(new FormData(event.target));
    if (button && button.name) body.append(button.name, button.value);
    if (button) {
      button.setAttribute("aria-disabled", "true");
      button.classList.add("sent");
    }
    go(event.target.action, body);
  });
  // A page that comes back as it was left may be that of the one who had this phone before.
  addEventListener("pageshow", (event) => event.persisted && location.reload());
  begin(document);
})();
