// <gb-sites>: a picture with its sites. Arrow keys move over the field, digits say what is there, a tap picks; marking places is a
// tap each. Without scripts every site is a link and every word a button.

const steps = { ArrowRight: [0, 1], ArrowLeft: [0, -1], ArrowDown: [1, 0], ArrowUp: [-1, 0] };

class Sites extends HTMLElement {
  #picture;
  #sites = [];
  #picked = null;
  #places = [];

  connectedCallback() {
    this.#picture = this.querySelector("[data-picture]");
    this.#sites = [...this.querySelectorAll("a.seen-site")];
    this.#zooming();
    this.#marking();
    if (this.#sites.length === 0) {
      return;
    }
    // One stop for the Tab key; the arrows go on from there.
    this.#sites.forEach((site, i) => site.setAttribute("tabindex", i === 0 ? "0" : "-1"));
    this.addEventListener("click", (event) => this.#click(event));
    this.addEventListener("focusin", (event) => this.#focus(event));
    this.addEventListener("keydown", (event) => this.#key(event));
    const form = this.querySelector("[data-said-form]");
    form?.addEventListener("submit", (event) => this.#say(event, event.submitter?.value ?? ""));
    const next = this.querySelector("[data-next]");
    if (next) {
      next.hidden = false;
      next.addEventListener("click", () => this.#next());
    }
    const named = this.querySelector("[data-site-field]")?.value;
    const start = this.#sites.find((site) => site.dataset.site === named);
    if (start) {
      this.#pick(start, false);
    }
  }

  #click(event) {
    const listed = event.target.closest?.("[data-pick]");
    const site = listed ? this.#named(listed.dataset.pick) : event.target.closest?.("a.seen-site");
    if (site) {
      event.preventDefault();
      this.#pick(site, true);
    }
  }

  #focus(event) {
    const site = event.target.closest?.("a.seen-site");
    if (site && site !== this.#picked) {
      this.#pick(site, false);
    }
  }

  #named(name) {
    return this.#sites.find((site) => site.dataset.site === name);
  }

  #pick(site, focus) {
    if (this.#picked) {
      this.#picked.removeAttribute("aria-current");
      this.#picked.setAttribute("tabindex", "-1");
    }
    this.#picked = site;
    site.setAttribute("aria-current", "true");
    site.setAttribute("tabindex", "0");
    this.querySelector("[data-site-title]").textContent = site.dataset.site;
    this.querySelector("[data-site-words]").textContent = site.getAttribute("aria-label");
    this.querySelector("[data-site-field]").value = site.dataset.site;
    const half = Math.max(12, 5 * Number(site.dataset.radius));
    const x = Number(site.dataset.x) - half;
    const y = Number(site.dataset.y) - half;
    this.querySelector("[data-crop]").setAttribute("viewBox", `${x} ${y} ${2 * half} ${2 * half}`);
    if (focus) {
      site.focus({ preventScroll: true });
      site.scrollIntoView({ block: "nearest", inline: "nearest" });
    }
  }

  #key(event) {
    if (event.ctrlKey || event.altKey || event.metaKey || event.target.closest?.("input, select, textarea")) {
      return;
    }
    if (event.key in steps && event.target.closest?.("a.seen-site")) {
      const to = this.#beside(steps[event.key]);
      if (to) {
        event.preventDefault();
        this.#pick(to, true);
      }
      return;
    }
    const button = /^\d$/.test(event.key) && this.#picked ? this.querySelector(`[data-key="${event.key}"]`) : null;
    if (button) {
      event.preventDefault();
      button.click();
    }
  }

  // The next site of the field in that direction as it lies in the picture, however the field is turned there.
  #beside([down, right]) {
    const from = this.#centre(this.#picked ?? this.#sites[0]);
    let best = null;
    let least = Infinity;
    for (const site of this.#sites) {
      const at = this.#centre(site);
      const along = (at.x - from.x) * right + (at.y - from.y) * down;
      const across = Math.abs((at.x - from.x) * down) + Math.abs((at.y - from.y) * right);
      if (along > 1 && across < along) {
        const far = along + 2 * across;
        if (far < least) {
          least = far;
          best = site;
        }
      }
    }
    return best;
  }

  #centre(site) {
    return { x: Number(site.dataset.x), y: Number(site.dataset.y) };
  }

  #next() {
    const from = this.#picked ? this.#sites.indexOf(this.#picked) : -1;
    const order = [...this.#sites.slice(from + 1), ...this.#sites.slice(0, from + 1)];
    const to = order.find((site) => site.dataset.weighs !== "ok");
    if (to) {
      this.#pick(to, true);
    }
  }

  async #say(event, says) {
    event.preventDefault();
    const site = this.#picked;
    if (!site) {
      return;
    }
    const data = new URLSearchParams(new FormData(event.currentTarget));
    data.set("says", says);
    const words = this.querySelector("[data-site-words]");
    try {
      const reply = await fetch(this.dataset.said, { method: "POST", headers: { "x-bench": "pictures" }, body: data });
      if (!reply.ok || !reply.headers.get("content-type")?.startsWith("application/json")) {
        words.textContent = `${site.dataset.site}: NOT kept (${reply.status}). Try again.`;
        return;
      }
      const now = await reply.json();
      site.dataset.sign = now.sign;
      site.dataset.weighs = now.weighs;
      site.toggleAttribute("data-person", says !== "");
      this.#redraw(site, now);
      const label = `${now.site}: ${now.words}${says === "" ? "" : ", your word"}`;
      site.setAttribute("aria-label", label);
      words.textContent = `${label}. Kept.`;
      const answer = document.querySelector("[data-answer]");
      if (answer) {
        answer.textContent = now.answer;
      }
      const sign = document.querySelector("[data-answer-sign]");
      if (sign) {
        sign.textContent = now.verdict.replaceAll("-", " ");
      }
    } catch {
      words.textContent = `${site.dataset.site}: NOT kept, no connection. Try again.`;
    }
  }

  // The shape comes with the answer; the letter stands as on the page.
  #redraw(site, now) {
    const { x, y } = this.#centre(site);
    const radius = Number(site.dataset.radius);
    const draw = (tag, attributes) => {
      const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
      for (const [name, value] of Object.entries(attributes)) {
        element.setAttribute(name, value);
      }
      return element;
    };
    const drawn = [draw("path", { d: now.path })];
    if (now.letter) {
      const letter = draw("text", { x: x + 1.15 * radius, y: y - 0.85 * radius, "font-size": 1.7 * radius });
      letter.textContent = now.letter;
      drawn.push(letter);
    }
    site.replaceChildren(...drawn);
  }

  #zooming() {
    for (const button of this.querySelectorAll("[data-zoom]")) {
      button.hidden = false;
      button.addEventListener("click", () => {
        this.#picture.dataset.zoomed = button.dataset.zoom;
        this.#picked?.scrollIntoView({ block: "center", inline: "center" });
      });
    }
  }

  #marking() {
    this.#places = [...this.querySelectorAll("[data-place]")];
    const line = this.querySelector("[data-mark-line]");
    if (this.#places.length === 0 || !line) {
      return;
    }
    const empty = this.#places.findIndex((field) => field.value === "");
    let now = empty < 0 ? this.#places.length : empty;
    const tell = () => {
      this.#places.forEach((field, i) => field.toggleAttribute("data-now", i === now));
      const label = this.#places[now]?.labels[0]?.textContent;
      line.textContent = label ? `Tap in the picture: ${label.toLowerCase()}.` : "All places are marked. Enter the lengths and measure.";
    };
    this.#places.forEach((field, i) =>
      field.addEventListener("focus", () => {
        now = i;
        tell();
      }),
    );
    this.#picture.addEventListener("click", (event) => {
      const field = this.#places[now];
      if (!field) {
        return;
      }
      const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.#picture.getScreenCTM().inverse());
      field.value = `${at.x.toFixed(1)} ${at.y.toFixed(1)}`;
      this.#dot(at);
      now += 1;
      tell();
    });
    tell();
  }

  #dot(at) {
    const dot = document.createElementNS("http://www.w3.org/2000/svg", "path");
    const arm = this.#picture.viewBox.baseVal.width / 80;
    dot.setAttribute("class", "seen-line");
    dot.setAttribute("d", `M${at.x - arm} ${at.y}H${at.x + arm}M${at.x} ${at.y - arm}V${at.y + arm}`);
    this.#picture.append(dot);
  }
}

customElements.define("gb-sites", Sites);
