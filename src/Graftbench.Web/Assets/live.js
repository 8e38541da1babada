// <gb-live>: says when another bench changed what the page shows. A page of many jobs shows itself anew while nobody types;
// a page of one job says it and leaves the choice. Without it a reload shows the same.

const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 30000;

class Live extends HTMLElement {
  #socket = null;
  #timer = 0;
  #wait = FIRST_WAIT_MS;
  #gone = false;

  connectedCallback() {
    this.#gone = false;
    this.lines = Number(this.dataset.lines ?? 0);
    this.#listen();
  }

  disconnectedCallback() {
    this.#gone = true;
    clearTimeout(this.#timer);
    this.#socket?.close();
  }

  #listen() {
    const job = this.dataset.job ?? "";
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    this.#socket = new WebSocket(`${scheme}://${location.host}/live${job ? `?job=${encodeURIComponent(job)}` : ""}`);
    this.#socket.addEventListener("open", () => {
      this.#wait = FIRST_WAIT_MS;
      this.dataset.state = "listening";
    });
    this.#socket.addEventListener("message", (event) => this.#hear(JSON.parse(event.data)));
    this.#socket.addEventListener("close", () => {
      this.dataset.state = "away";
      if (!this.#gone) {
        this.#timer = setTimeout(() => this.#listen(), this.#wait);
        this.#wait = Math.min(this.#wait * 2, LONGEST_WAIT_MS);
      }
    });
  }

  #hear(news) {
    if (this.dataset.job) {
      if (news.lines > this.lines) {
        this.lines = news.lines;
        this.#say(news.who ? `${news.who} added to this job just now.` : "This job has grown since the page was opened.");
      }
      return;
    }
    if (news.id && this.dataset.fresh && !this.#isTyping()) {
      this.#renew();
    } else if (news.id) {
      this.#say(`${news.who} changed a job just now.`);
    }
  }

  #say(text) {
    const line = this.querySelector(".live-news");
    const show = document.createElement("a");
    show.href = location.href.split("#")[0];
    show.className = "button";
    show.textContent = "Show it";
    line.replaceChildren(text, " ", show);
    line.hidden = false;
  }

  #isTyping() {
    const field = document.activeElement?.closest?.("input, textarea, select");
    return Boolean(field && document.querySelector("main")?.contains(field));
  }

  async #renew() {
    try {
      const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
      if (!answer.ok) {
        throw new Error(`${answer.status}`);
      }
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      for (const part of document.querySelectorAll("[data-live]")) {
        const fresh = page.querySelector(`[data-live="${part.dataset.live}"]`);
        if (fresh) {
          part.replaceWith(document.adoptNode(fresh));
        }
      }
    } catch {
      this.#say("Something changed, and the program did not answer.");
    }
  }
}

customElements.define("gb-live", Live);
