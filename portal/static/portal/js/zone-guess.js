/**
 * <zone-guess guess>: chooses the browser's own time zone in the select inside it.
 */
class ZoneGuess extends HTMLElement {
  connectedCallback() {
    const select = this.querySelector("select");
    const own = Intl.DateTimeFormat().resolvedOptions().timeZone;
    if (!select || !this.hasAttribute("guess")) return;
    if ([...select.options].some((option) => option.value === own)) select.value = own;
  }
}

customElements.define("zone-guess", ZoneGuess);
