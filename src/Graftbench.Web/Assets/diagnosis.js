// Keys 1 to 9 press the outcomes of the test to do next, and a form that records something is answered without a reload.
// Both only help: every form works without scripts.

const TYPED = "input, select, textarea, [contenteditable]";

class Diagnosis extends HTMLElement {
  #waits = false;

  connectedCallback() {
    this.addEventListener("submit", (event) => this.#send(event));
    document.addEventListener("keydown", this);
  }

  disconnectedCallback() {
    document.removeEventListener("keydown", this);
  }

  handleEvent(event) {
    const plain = !event.ctrlKey && !event.altKey && !event.metaKey && !event.repeat;
    if (plain && /^[1-9]$/.test(event.key) && !event.target.closest?.(TYPED)) {
      this.querySelector(`[data-key="${event.key}"]`)?.click();
    }
  }

  async #send(event) {
    const form = event.target;
    if (!form.matches("[data-kept]")) {
      return;
    }
    event.preventDefault();
    if (this.#waits) {
      return;
    }
    this.#waits = true;
    const data = new FormData(form);
    if (event.submitter?.name) {
      data.set(event.submitter.name, event.submitter.value);
    }
    try {
      const reply = await fetch(form.action, { method: "POST", body: new URLSearchParams(data) });
      const page = new DOMParser().parseFromString(await reply.text(), "text/html");
      const now = page.querySelector("gb-diagnosis");
      if (!now) {
        throw new Error("another page");
      }
      this.replaceChildren(...now.childNodes);
      const told = this.querySelector("[role=alert], [role=status]");
      told?.focus();
      told?.scrollIntoView({ block: "nearest" });
    } catch {
      // Sent twice it would stand twice in the record: the person looks first.
      const told = document.createElement("p");
      told.setAttribute("role", "alert");
      told.className = "done";
      told.textContent = "No answer from the bench. Open this page again to see whether it was kept.";
      form.append(told);
    } finally {
      this.#waits = false;
    }
  }
}

customElements.define("gb-diagnosis", Diagnosis);
