"""What is asked of a page in the browser, for tests/browser/test_every_page.py.

Sources: axe-core's rules of WCAG 2.0, 2.1 and 2.2, levels A and AA, and its best practices (a rule
engine finds only part of what the guideline asks). WCAG 2.2 by number, from memory: 1.4.10 reflow
at 320 CSS pixels (which is 1280 at 400 %, and 640 at the 200 % of 1.4.4), 2.1.1 keyboard, 2.1.2
no keyboard trap, 2.4.7 focus visible.
"""

from __future__ import annotations

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
EVERY_RULE = {"type": "tag", "values": TAGS}
# What a page's other colours can break: the rest asks for its elements, words and sizes
COLOUR_RULES = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
PHONE = {"width": 390, "height": 844}
LAPTOP = {"width": 1440, "height": 900}
NARROW = {"width": 320, "height": 640}

# What stands out of the page's side, by its words
TOO_WIDE = """() => document.documentElement.scrollWidth <= innerWidth ? [] :
    [...document.querySelectorAll("body *")]
        .filter((e) => e.checkVisibility() && e.getBoundingClientRect().right > innerWidth + 1)
        .map((e) => e.outerHTML.slice(0, 90)).slice(0, 4)"""

# Notes each control that gets the focus and whether that shows; then says which never got it.
# A radio group is one stop, so only one of its buttons is expected.
WATCH = """() => {
    document.activeElement?.blur();
    const list = "a[href], button, input, select, textarea, summary, iframe, [tabindex]";
    const groups = new Set();
    const expected = [...document.querySelectorAll(list)].filter((e) => {
        if (e.tabIndex < 0 || e.disabled || e.type === "hidden") return false;
        if (e.closest("[inert]")) return false;
        if (!e.checkVisibility({visibilityProperty: true})) return false;
        if (e.matches("details:not([open]) :not(summary, summary *)")) return false;
        if (e.type !== "radio") return true;
        const group = [...document.getElementsByName(e.name)].filter((o) => o.form === e.form);
        return (group.find((o) => o.checked) ?? group[0]) === e;
    });
    // Where the focus may show: on the control, on what stands for it, or around it
    const places = (e) => [e, e.nextElementSibling, e.closest("label"), e.parentElement]
        .filter(Boolean);
    const look = (e) => places(e).map((one) => {
        const style = getComputedStyle(one);
        const line = style.outlineStyle === "none" ? "" : style.outlineWidth + style.outlineColor;
        return [line, style.boxShadow, style.borderColor, style.textDecorationLine].join();
    }).join(";");
    const before = new Map(expected.map((e) => [e, look(e)]));
    const seen = new Set(), unseen = new Set();
    addEventListener("focusin", ({target}) => {
        seen.add(target);
        if (!before.has(target) || target.tagName === "IFRAME") return;
        if (look(target) === before.get(target)) unseen.add(target);
    }, true);
    const say = (e) => e.outerHTML.replace(/\\s+/g, " ").slice(0, 110);
    globalThis.tabbed = () => ({
        // What the page has put another in the place of is gone
        left: expected.filter((e) => e.isConnected && !seen.has(e)).map(say),
        unseen: [...unseen].map(say),
    });
    return expected.length;
}"""
MORE_STOPS = 40  # players' own controls, and what stands inside a frame


def axe_troubles(page: Page, rules: dict[str, object] = EVERY_RULE) -> list[str]:
    """Each broken rule with the first two places that break it."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    found = page.evaluate(
        "async (options) => (await axe.run(options)).violations",
        {"reporter": "no-passes", "runOnly": rules},
    )
    return [
        f"{one['id']}: {one['help']}: {[node['html'][:160] for node in one['nodes'][:2]]}"
        for one in found
    ]


def wide_troubles(page: Page) -> list[str]:
    """What makes the page scroll sideways at the size it has."""
    return [f"wider than the screen: {html}" for html in page.evaluate(TOO_WIDE)]


def keyboard_troubles(page: Page) -> list[str]:
    """Controls that Tab doesn't reach from the page's beginning, or whose focus doesn't show."""
    stops = page.evaluate(WATCH)
    told = page.evaluate("tabbed()")
    presses = 2 * stops + MORE_STOPS
    while told["left"] and presses > 0:
        # as many as are left at the least: asking after each would take longer than the keys
        for _ in range(min(presses, len(told["left"]))):
            page.keyboard.press("Tab")
        presses -= len(told["left"])
        told = page.evaluate("tabbed()")
    return [
        *(f"not reached by Tab: {html}" for html in told["left"]),
        *(f"focus doesn't show: {html}" for html in told["unseen"]),
    ]
