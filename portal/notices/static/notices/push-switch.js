/**
 * `<push-switch data-key data-send-to data-worker>`: asks this browser for pushes, and tells the site
 * where they go. A browser that takes them already says so at each visit: then it stays with whoever
 * is signed in here. Without a button inside it does only that.
 */
class PushSwitch extends HTMLElement {
  async connectedCallback() {
    const button = this.querySelector("[data-on]");
    if (!("serviceWorker" in navigator) || !("PushManager" in window)) {
      this.#say("This browser shows no notices. On an iPhone, put the site on the home screen first.");
      return;
    }
    const registration = await navigator.serviceWorker.getRegistration(this.#scope);
    const subscription = await registration?.pushManager.getSubscription();
    if (subscription && same(subscription.options.applicationServerKey, this.#key)) {
      const answer = await this.#send(subscription);
      this.#say(answer || "Notices are shown here.");
      return;
    }
    await subscription?.unsubscribe(); // made for another key of the site: nothing reaches it
    this.#say("");
    if (!(button instanceof HTMLButtonElement)) return;
    button.hidden = false;
    button.addEventListener("click", () => this.#ask(button));
  }

  get #scope() {
    return new URL("./", new URL(this.dataset.worker ?? "", location.href)).pathname;
  }

  get #key() {
    const text = (this.dataset.key ?? "").replaceAll("-", "+").replaceAll("_", "/");
    return Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  }

  /** @param {HTMLButtonElement} button */
  async #ask(button) {
    button.disabled = true;
    try {
      if ((await Notification.requestPermission()) !== "granted") {
        this.#say("This browser does not allow notices here. Allow them in its settings for this site.");
        return;
      }
      const registration = await navigator.serviceWorker.register(this.dataset.worker ?? "", { scope: this.#scope });
      const subscription = await registration.pushManager.subscribe({ userVisibleOnly: true, applicationServerKey: this.#key });
      const trouble = await this.#send(subscription);
      if (trouble) this.#say(trouble);
      else location.reload();
    } catch (error) {
      if (!(error instanceof DOMException || error instanceof TypeError)) throw error;
      this.#say("The browser's push service can't be reached now. Try again later.");
    } finally {
      button.disabled = false;
    }
  }

  /** @param {PushSubscription} subscription @returns {Promise<string>} what went wrong, or nothing */
  async #send(subscription) {
    const token = JSON.parse(document.body.getAttribute("hx-headers") ?? "{}")["X-CSRFToken"] ?? "";
    const answer = await fetch(this.dataset.sendTo ?? "", {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": token },
      body: JSON.stringify(subscription),
    }).catch(() => null);
    if (answer?.ok) return "";
    if (answer?.headers.get("Content-Type")?.startsWith("application/json")) return (await answer.json()).detail;
    return "The site could not be reached. Try again in a moment.";
  }

  /** @param {string} words */
  #say(words) {
    const place = this.querySelector("[data-words]");
    if (place) place.textContent = words;
  }
}

/** @param {ArrayBuffer | null} one @param {Uint8Array} other */
function same(one, other) {
  const bytes = new Uint8Array(one ?? new ArrayBuffer(0));
  return bytes.length === other.length && bytes.every((byte, place) => byte === other[place]);
}

customElements.define("push-switch", PushSwitch);
