// What can be seen of a page without reading it: its frame, its targets, and what its lay-out loses.
(() => {
  const shown = (one) => one.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const called = (one) => {
    const words = (one.getAttribute("aria-label") || one.innerText || one.value || "").trim();
    return `${one.tagName.toLowerCase()} “${words.slice(0, 40).replace(/\s+/g, " ")}”`;
  };
  const main = () => document.querySelector("[data-testid='stMain']") || document.scrollingElement;
  const TARGETS = `a[href], button:not([disabled]), input:not([disabled]), textarea, select, summary,
    [role=button], [role=radio], [role=tab], [role=checkbox], [role=switch], [role=combobox]`;

  // What is asked of the ancestors of each text is asked once, while the page stands still.
  const remembered = (of) => {
    const known = new Map();
    return (one) => {
      if (!known.has(one)) known.set(one, of(one));
      return known.get(one);
    };
  };
  const EVERYWHERE = { left: -1e6, top: -1e6, right: 1e6, bottom: 1e6 };

  // The part of the page in which an element is painted: what scrolls or is folded hides the rest.
  const windows = () => {
    const open = remembered((one) => {
      const style = getComputedStyle(one);
      if (one === document.body || style.position === "fixed") return EVERYWHERE;
      const around = open(one.parentElement);
      if (style.overflowX === "visible" && style.overflowY === "visible") return around;
      const edge = one.getBoundingClientRect();
      return meet(edge, around);
    });
    return open;
  };
  const meet = (one, other) => ({
    left: Math.max(one.left, other.left), top: Math.max(one.top, other.top),
    right: Math.min(one.right, other.right), bottom: Math.min(one.bottom, other.bottom),
  });
  const unseen = (one) => one.closest(".unseen, svg, [aria-hidden=true], .vega-embed, canvas");
  const texts = () => {
    const found = [], open = windows(), hidden = remembered((one) => unseen(one) || !shown(one));
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const node = walk.currentNode, one = node.parentElement;
      if (!node.data.trim() || /^(STYLE|SCRIPT|NOSCRIPT|OPTION)$/.test(one.tagName)) continue;
      if (hidden(one)) continue;
      const range = document.createRange();
      range.selectNodeContents(node);
      for (const box of range.getClientRects()) {
        if (box.width < 2 || box.height < 2) continue;
        found.push({ node, one, box, seen: meet(box, open(one)) });
      }
    }
    return found;
  };
  const scrolling = () => {
    const within = remembered((one) => one !== document.body && (
      (/auto|scroll/.test(getComputedStyle(one).overflowX) && one.scrollWidth > one.clientWidth + 1)
      || within(one.parentElement)));
    return within;
  };
  const fixing = () => {
    const held = remembered((one) => one !== document.documentElement && (
      /fixed|sticky/.test(getComputedStyle(one).position) || held(one.parentElement)));
    return held;
  };

  // Nothing runs over the edge of the page, none of its texts is cut, and no two lie on each other.
  const layout = () => {
    const said = [], wide = window.innerWidth, scrolls = scrolling(), fixed = fixing();
    for (const one of [document.scrollingElement, main()])
      if (one.scrollWidth > Math.max(one.clientWidth, 1) + 1)
        said.push(`scrolls sideways: ${one.scrollWidth} px in ${one.clientWidth} px`);
    const all = texts();
    for (const { one, box, seen } of all) {
      if (scrolls(one)) continue;
      const lost = box.width - (seen.right - seen.left);
      if (lost > 2 && seen.bottom > seen.top && box.bottom > 0)
        said.push(`cut by ${Math.round(lost)} px: ${called(one)}`);
      else if (box.right > wide + 1 || box.left < -1) said.push(`over the edge: ${called(one)}`);
    }
    const boxes = all.filter(({ seen }) => seen.right - seen.left > 3 && seen.bottom - seen.top > 3)
      .sort((a, b) => a.seen.top - b.seen.top);
    for (let i = 0; i < boxes.length; i++)
      for (let j = i + 1; j < boxes.length && boxes[j].seen.top < boxes[i].seen.bottom - 4; j++) {
        const [a, b] = [boxes[i], boxes[j]];
        if (a.node === b.node || fixed(a.one) !== fixed(b.one)) continue;
        const across = Math.min(a.seen.right, b.seen.right) - Math.max(a.seen.left, b.seen.left);
        const down = Math.min(a.seen.bottom, b.seen.bottom) - b.seen.top;
        // Lines of a text stand closer than their boxes are high.
        if (across > 3 && down > 0.4 * Math.min(a.box.height, b.box.height))
          said.push(`${called(a.one)} lies on ${called(b.one)}`);
      }
    return [...new Set(said)];
  };

  // WCAG 2.2, 2.5.5: a target is at least 44 px high and wide, but for links within a sentence.
  const LEAST = 43.5;
  const inline = (one) => one.tagName === "A" && getComputedStyle(one).display === "inline";
  const FIELDS = `label, [data-testid=stTextInputRootElement], [data-testid=stTextAreaRootElement],
    [data-testid=stSelectbox] [role=group], [data-testid=stMultiSelect] [role=group]`;
  const reach = (one) => {
    const box = (one.closest(FIELDS) || one).getBoundingClientRect();
    const after = getComputedStyle(one, "::after");
    const more = after.content !== "none" && after.position === "absolute";
    const across = more ? parseFloat(after.width) : 0, down = more ? parseFloat(after.height) : 0;
    return { width: Math.max(box.width, across), height: Math.max(box.height, down) };
  };
  const small = () => {
    const said = [];
    for (const one of document.querySelectorAll(TARGETS)) {
      if (!one.checkVisibility({ visibilityProperty: true }) || inline(one) || one.type === "hidden") continue;
      if (one.getBoundingClientRect().width < 2) continue;
      const box = reach(one);
      if (box.width < 2 || box.height < 2) continue;
      if (box.height < LEAST || box.width < LEAST)
        said.push(`${Math.round(box.width)} × ${Math.round(box.height)} px: ${called(one)} ${one.closest("[data-testid]")?.dataset.testid}`);
    }
    return [...new Set(said)];
  };

  const frame = () => {
    const heads = [...document.querySelectorAll("h1, h2, h3, h4, h5, h6")].filter((one) => one.checkVisibility());
    const levels = heads.map((one) => Number(one.tagName[1]));
    const said = [];
    if (levels.filter((level) => level === 1).length !== 1) said.push(`h1: ${levels}`);
    levels.forEach((level, at) => {
      if (level > (at ? levels[at - 1] : 0) + 1) said.push(`a heading skips a level: ${called(heads[at])} (${levels})`);
    });
    const menu = document.querySelector(".st-key-menu");
    if (menu && menu.getAttribute("role") !== "navigation") said.push("the menu is no landmark");
    if (document.documentElement.lang !== "en") said.push("no language");
    if (document.querySelectorAll("main, [role=main]").length !== 1) said.push("not one main landmark");
    for (const picture of document.querySelectorAll("img, canvas, [role=img], svg[class*=marks]"))
      if (picture.checkVisibility() && !named(picture)) said.push(`a picture without text: ${picture.outerHTML.slice(0, 120)}`);
    return said;
  };
  const named = (one) => {
    for (let up = one, far = 0; up && far < 6; up = up.parentElement, far++)
      if (up.getAttribute("aria-label") || up.getAttribute("alt") || up.getAttribute("aria-hidden") === "true" || up.getAttribute("alt") === "")
        return true;
    return false;
  };
  const moves = () => document.getAnimations().flatMap((one) => {
    const timing = one.effect.getComputedTiming();
    return timing.activeDuration > 1 ? [`moves for ${timing.activeDuration} ms: ${one.animationName || one.transitionProperty} of ${called(one.effect.target)}`] : [];
  });
  const size = () => ({
    height: main().scrollHeight,
    words: (document.querySelector("main, [role=main]") || document.body).innerText.trim().split(/\s+/).length,
    figure: (() => {
      const top = main().getBoundingClientRect().top - main().scrollTop;
      const first = texts().find(({ one, node }) => /\d/.test(node.data) && (one.closest("main, [role=main]") || !document.querySelector("main,[role=main]")));
      return first ? Math.round(first.box.top - top) : null;
    })(),
  });
  const audit = async (options) => {
    const found = await axe.run({ resultTypes: ["violations"], ...options });
    return found.violations.flatMap((one) => one.nodes.map((node) =>
      `${one.id} (${one.impact}): ${node.target.flat().join(" ")} ${node.html.slice(0, 120)} ${(node.any[0] || node.all[0] || node.none[0] || {}).message || ""}`));
  };

  // Whether nothing has changed for a while, in these colours.
  const SETTLED = "[data-testid='stApp'][data-test-script-state='notRunning'][data-test-connection-state='CONNECTED']";
  let changed = performance.now();
  new MutationObserver(() => { changed = performance.now(); })
    .observe(document.documentElement, { childList: true, subtree: true, characterData: true, attributes: true });
  const QUIET_MS = 150;
  const rests = (scheme) => {
    const app = document.querySelector("[data-testid='stApp']");
    const ready = !app || (document.querySelector(SETTLED) && document.querySelector("h1")
      && !document.querySelector("[data-testid='stSkeleton'], [data-testid='stSpinner'], [data-stale='true']"));
    const ground = getComputedStyle(app || document.body).backgroundColor;
    const light = Number(ground.match(/\d+/)[0]) > 127;
    // What is made for paper is black on white in any scheme.
    const either = document.body.classList.contains("paper");
    if (!ready || (scheme && !either && light !== (scheme === "light"))) changed = performance.now();
    return performance.now() - changed > (app ? QUIET_MS : 0);
  };

  // WCAG 2.2, 2.4.7: what has the focus of the keyboard looks different from what has not.
  const drawn = (one) => {
    const style = getComputedStyle(one);
    return [style.outlineStyle === "none" ? "" : style.outline, style.boxShadow, style.borderColor, style.backgroundColor].join();
  };
  const around = (one) => {
    const found = [one];
    for (let up = one, far = 0; up.parentElement && far < 3; up = up.parentElement, far++)
      found.push(up.parentElement, ...(up.parentElement.childElementCount < 6 ? up.parentElement.children : []));
    return found;
  };
  const unfocused = () => {
    const said = [];
    document.activeElement?.blur?.();
    const all = [...document.querySelectorAll("a[href], button:not([disabled]), input:not([disabled]), textarea, select, summary, [tabindex='0']")]
      .filter((one) => one.tabIndex >= 0 && one.checkVisibility({ visibilityProperty: true }) && one.getBoundingClientRect().width);
    for (const one of all) {
      document.activeElement?.blur?.();  // a group may have handed the focus on to this one already
      const near = around(one), plain = near.map(drawn);
      one.focus({ preventScroll: true, focusVisible: true });
      if (document.activeElement === one && near.every((other, at) => drawn(other) === plain[at]))
        said.push(`the focus is not seen: ${called(one)}`);
    }
    document.activeElement?.blur?.();
    return [...new Set(said)];
  };
  const current = () => [...document.querySelectorAll(".st-key-menu [aria-current=page]")]
    .filter(shown).map((one) => one.innerText.trim());
  return { rests, unfocused, layout, small, frame, moves, size, audit, current };
})()
