// <gb-watch>: the live heat watch. All words and figures come from the server; what it says of itself is only that it is lost.
import { Chart } from "./watch-chart.js";
import { Sounds, soundNames } from "./watch-sound.js";

const staleMs = 3000;
const lookMs = 500;
const firstWaitMs = 500;
const longestWaitMs = 8000;
const keys = { 1: "moved", 2: "dropped", 3: "smelled", 4: "popped", m: "moved", d: "dropped", s: "smelled", p: "popped" };
const sayAgainMs = 15000;

class Watch extends HTMLElement {
  #sounds = new Sounds();
  #chart = null;
  #socket = null;
  #waitMs = firstWaitMs;
  #retry = 0;
  #watchdog = 0;
  #heardAt = 0;
  #lookedAt = 0;
  #lost = false;
  #over = false;
  #fields = new Map();
  #lists = new Map();
  #saidCue = "";
  #saidAt = 0;
  #wake = null;
  #onKey = (event) => this.#key(event);
  #onShow = () => this.#shown();

  connectedCallback() {
    const config = JSON.parse(this.dataset.config);
    for (const element of this.querySelectorAll("[data-show]")) {
      this.#fields.set(element.dataset.show, element);
    }
    for (const element of this.querySelectorAll("[data-list]")) {
      this.#lists.set(element.dataset.list, { element, text: "" });
    }
    const canvas = this.querySelector("[data-chart]");
    this.#chart = new Chart(canvas, config);
    this.#legend(config);
    this.#setUpSound(config);
    for (const form of this.querySelectorAll("form[data-mark], form[data-set]")) {
      form.addEventListener("submit", (event) => this.#post(event));
    }
    addEventListener("keydown", this.#onKey);
    document.addEventListener("visibilitychange", this.#onShow);
    this.#heardAt = performance.now();
    this.#watchdog = setInterval(() => this.#look(), lookMs);
    this.#open();
    this.#stayAwake();
  }

  disconnectedCallback() {
    removeEventListener("keydown", this.#onKey);
    document.removeEventListener("visibilitychange", this.#onShow);
    clearInterval(this.#watchdog);
    clearTimeout(this.#retry);
    this.#over = true;
    this.#socket?.close();
    this.#wake?.release();
  }

  async #open() {
    try {
      await this.#history();
    } catch {
      this.#again();
      return;
    }
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    const socket = new WebSocket(`${scheme}://${location.host}${this.dataset.live}`);
    this.#socket = socket;
    socket.addEventListener("message", (event) => {
      this.#waitMs = firstWaitMs;
      this.#take(JSON.parse(event.data));
    });
    socket.addEventListener("close", () => this.#again());
  }

  // History once; where the run is not there any more the page shows what became of it.
  async #history() {
    const state = await fetch(this.dataset.state, { headers: { accept: "application/json" } });
    if (state.ok) {
      const now = await state.json();
      if (now.state !== "running") {
        this.#over = true;
        location.reload();
        return;
      }
    }
    const answer = await fetch(this.dataset.history);
    if (answer.ok) {
      this.#chart.take(new Float32Array(await answer.arrayBuffer()));
    }
  }

  #again() {
    if (this.#over) {
      return;
    }
    clearTimeout(this.#retry);
    this.#retry = setTimeout(() => this.#open(), this.#waitMs);
    this.#waitMs = Math.min(2 * this.#waitMs, longestWaitMs);
  }

  // An old "lift" must never stand on the screen.
  #look() {
    // A page that was held up itself looks again before it judges: what came meanwhile still waits to be taken.
    const at = performance.now();
    const heldUp = at - this.#lookedAt > 2 * lookMs;
    this.#lookedAt = at;
    const lost = !this.#over && at - this.#heardAt > staleMs;
    if (lost && heldUp) {
      return;
    }
    if (lost === this.#lost) {
      return;
    }
    this.#lost = lost;
    this.classList.toggle("watch-is-lost", lost);
    this.querySelector("[data-lost]").hidden = !lost;
    if (lost) {
      this.dataset.cue = "cannot-tell";
      this.#show("headline", "No connection");
      this.#show("detail", "What is shown is old. Go by the probe and the clock.");
      this.querySelector("[data-left]").hidden = true;
      this.#sounds.cue("lost");
    }
  }

  #take(now) {
    this.#heardAt = performance.now();
    this.#look();
    if (now.state !== "running") {
      this.#over = true;
      location.reload();
      return;
    }
    for (const [name, element] of this.#fields) {
      const text = now[name];
      if (element.textContent !== text) {
        element.textContent = text;
      }
    }
    this.querySelector("[data-left]").hidden = now.left === "";
    this.dataset.cue = now.cue;
    this.dataset.trust = now.trust;
    this.dataset.version = now.version;
    const problem = this.querySelector("[data-show-or-hide]");
    problem.hidden = now.storeProblem === "";
    problem.textContent = now.storeProblem;
    this.querySelector(".watch-source-line").dataset.well = now.sourceWell ? "yes" : "no";
    this.#list("probes", now.probes, (each) => [each.state, ["strong", each.channel], ["b", each.read], ["span", each.where], ["em", each.words]]);
    this.#list("limits", now.limits, (each) => [each.state, ["strong", each.title], ["b", each.now], ["span", `of ${each.limit}`], ["em", each.reached]]);
    this.#list("marks", now.marks, (each) => [null, ["b", each.clock], ["strong", each.kind], ["span", each.text]]);
    this.#chart.add(now.row);
    this.#say(now);
    this.#sounds.cue(now.cue);
  }

  #show(name, text) {
    const element = this.#fields.get(name);
    if (element) {
      element.textContent = text;
    }
  }

  #list(name, items, parts) {
    const list = this.#lists.get(name);
    const text = JSON.stringify(items);
    if (!list || list.text === text) {
      return;
    }
    list.text = text;
    list.element.replaceChildren(
      ...items.map((item) => {
        const [state, ...pieces] = parts(item);
        const line = document.createElement("li");
        if (state) {
          line.dataset.state = state;
          const dot = document.createElement("span");
          dot.className = "watch-dot";
          dot.setAttribute("aria-hidden", "true");
          line.append(dot);
        }
        for (const [tag, words] of pieces) {
          const piece = document.createElement(tag);
          piece.textContent = words;
          line.append(piece, " ");
        }
        return line;
      }),
    );
  }

  // A reader is told a new cue at once, and figures no oftener than every quarter of a minute.
  #say(now) {
    const line = this.querySelector("[data-live-words]");
    const at = performance.now();
    if (now.cue !== this.#saidCue) {
      this.#saidCue = now.cue;
      this.#saidAt = at;
      line.textContent = `${now.headline}. ${now.detail}`;
    } else if (at - this.#saidAt > sayAgainMs) {
      this.#saidAt = at;
      line.textContent = `Coldest joint ${now.coldest}. All joints molten: ${now.melt}.`;
    }
  }

  async #post(event) {
    event.preventDefault();
    const form = event.currentTarget;
    const data = new FormData(form, event.submitter ?? undefined);
    await this.#send(form.getAttribute("action"), data, () => form.reset());
  }

  async #send(address, data, done) {
    const answer = this.querySelector("[data-answer]");
    const what = data.get("mark") ?? "set";
    try {
      const reply = await fetch(address, { method: "POST", headers: { "x-bench": "watch" }, body: new URLSearchParams(data) });
      if (reply.ok) {
        done();
        answer.textContent = `${what}: kept`;
        answer.dataset.bad = "no";
        return;
      }
      answer.textContent = reply.headers.get("content-type")?.startsWith("text/plain") ? await reply.text() : `${what}: NOT kept (${reply.status})`;
    } catch {
      answer.textContent = `${what}: NOT kept, no connection. Repeat it.`;
    }
    answer.dataset.bad = "yes";
  }

  // One key marks; a foot switch that types a key does the same.
  #key(event) {
    if (event.ctrlKey || event.altKey || event.metaKey || event.repeat || event.target.closest?.("input, textarea, select")) {
      return;
    }
    const sort = keys[event.key.toLowerCase()];
    const form = this.querySelector("form[data-mark]");
    if (sort && form) {
      event.preventDefault();
      const data = new FormData(form);
      data.set("mark", sort);
      this.#send(form.getAttribute("action"), data, () => {});
    }
  }

  #legend(config) {
    const list = this.querySelector("[data-legend]");
    const names = ["coldest joint, thick, with its band", "hottest joint", ...config.channels.map((name) => `${name}, thin`)];
    if (config.plan.coldest.length > 0) {
      names.push("coldest joint as planned, dots");
    }
    list.replaceChildren(
      ...names.map((name) => {
        const line = document.createElement("li");
        line.textContent = name;
        return line;
      }),
    );
  }

  #setUpSound(config) {
    const box = this.querySelector("[data-sound]");
    if (!("AudioContext" in window)) {
      return;
    }
    box.hidden = false;
    const button = box.querySelector("[data-sound-on]");
    button.addEventListener("click", async () => {
      if (this.#sounds.on) {
        await this.#sounds.stop();
      } else {
        await this.#sounds.start();
      }
      button.setAttribute("aria-pressed", String(this.#sounds.on));
      button.textContent = this.#sounds.on ? "Sound is on" : "Sound on";
    });
    const words = (name) => (name === "lost" ? "no connection" : name.replaceAll("-", " "));
    box.querySelector("[data-sounds]").replaceChildren(
      ...soundNames
        .filter((name) => name === "lost" || config.cues.includes(name))
        .map((name) => {
          const line = document.createElement("li");
          const label = document.createElement("label");
          const tick = document.createElement("input");
          tick.type = "checkbox";
          tick.checked = !this.#sounds.isMuted(name);
          tick.addEventListener("change", () => this.#sounds.mute(name, !tick.checked));
          label.append(tick, ` ${words(name)}`);
          const hear = document.createElement("button");
          hear.type = "button";
          hear.textContent = "Hear";
          hear.setAttribute("aria-label", `Hear ${words(name)}`);
          hear.addEventListener("click", () => this.#sounds.play(name));
          line.append(label, hear);
          return line;
        }),
    );
  }

  async #stayAwake() {
    try {
      this.#wake = await navigator.wakeLock?.request("screen");
    } catch {
      // Not allowed here: the machine's own setting counts.
    }
  }

  #shown() {
    if (!document.hidden) {
      this.#stayAwake();
    }
  }
}

customElements.define("gb-watch", Watch);
