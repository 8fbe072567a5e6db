/** The student's page at phone width, beside the editor; on a phone it is a page of its own. */
const WIDE = window.matchMedia("(width >= 900px)");

/** @param {HTMLElement} editor @param {() => Promise<void>} saveFirst */
export function preview(editor, saveFirst) {
  const link = /** @type {HTMLAnchorElement} */ (editor.querySelector("[data-preview]"));
  const panel = /** @type {HTMLElement} */ (editor.querySelector("[data-preview-panel]"));
  const frame = /** @type {HTMLIFrameElement} */ (panel.querySelector("iframe"));
  const close = /** @type {HTMLElement} */ (panel.querySelector("[data-preview-close]"));

  link.addEventListener("click", async (event) => {
    event.preventDefault();
    await saveFirst();
    if (!WIDE.matches) {
      location.assign(link.href);
    } else if (panel.hidden) {
      open();
    } else {
      hide();
    }
  });
  close.addEventListener("click", () => {
    hide();
    link.focus();
  });
  panel.addEventListener("keydown", (event) => {
    if (event.key === "Escape") close.click();
  });

  function open() {
    const fromEnd = document.documentElement.clientWidth - editor.getBoundingClientRect().left + 16;
    panel.style.setProperty("--from-end", `${fromEnd}px`);
    frame.src = link.href;
    panel.hidden = false;
    link.textContent = "Close preview";
  }

  function hide() {
    panel.hidden = true;
    frame.removeAttribute("src");
    link.textContent = "Preview";
  }

  /** Show what has just been saved, at the place where the coach is reading. */
  return function refresh() {
    if (!panel.hidden) frame.contentWindow?.location.reload();
  };
}
