// The microphone to the server and the head speed back. Nothing is worked out here: it shows what the server heard.
const SHOWN_S = 20;
const OLD_AFTER_MS = 2000;
// A speed that is no longer heard must not stand there as if it were.

function refusal(error) {
  if (!window.isSecureContext || !navigator.mediaDevices) {
    return "This browser gives the microphone only to a page on this machine or over https. Bring a recording instead.";
  }
  if (error && error.name === "NotAllowedError") return "The microphone was not allowed. Allow it for this page and try again.";
  if (error && error.name === "NotFoundError") return "No microphone was found.";
  return "The microphone could not be opened: " + (error ? error.message : "no reason was given");
}

class Ear {
  constructor(place) {
    this.place = place;
    this.frames = [];
    this.speed = place.querySelector(".ear-speed");
    this.sure = place.querySelector(".ear-sure");
    this.said = place.querySelector(".ear-said");
    this.blades = place.querySelector(".ear-blades");
    this.canvas = place.querySelector("canvas");
    this.button = place.querySelector(".ear-button");
    this.button.addEventListener("click", () => (this.running ? this.stop("Stopped.") : this.start()));
  }

  async start() {
    this.frames = [];
    try {
      const asked = { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 };
      this.stream = await navigator.mediaDevices.getUserMedia({ audio: asked });
      this.context = new AudioContext();
      await this.context.audioWorklet.addModule("/static/ear-worklet.js");
    } catch (error) {
      this.stop(refusal(error));
      return;
    }
    const scheme = location.protocol === "https:" ? "wss://" : "ws://";
    const asked = new URLSearchParams({ rate: String(this.context.sampleRate) });
    this.socket = new WebSocket(scheme + location.host + this.place.dataset.socket + "?" + asked);
    this.socket.binaryType = "arraybuffer";
    this.socket.onmessage = (message) => this.heard(JSON.parse(message.data));
    this.socket.onclose = (event) => this.stop(event.reason || "The server closed the line.");
    const source = this.context.createMediaStreamSource(this.stream);
    const gather = new AudioWorkletNode(this.context, "gather", { numberOfOutputs: 0 });
    gather.port.onmessage = (block) => {
      if (this.ready && this.socket && this.socket.readyState === WebSocket.OPEN) this.socket.send(block.data);
    };
    source.connect(gather);
    this.running = true;
    this.ready = false;
    this.toldAt = performance.now();
    this.button.textContent = "Stop listening";
    this.said.textContent = "Getting ready to listen.";
    this.speed.textContent = "getting ready";
    this.draw();
  }

  stop(sentence) {
    this.running = false;
    if (this.stream) this.stream.getTracks().forEach((track) => track.stop());
    if (this.context && this.context.state !== "closed") this.context.close();
    if (this.socket) {
      this.socket.onclose = null;
      this.socket.close();
    }
    this.stream = this.context = this.socket = null;
    this.button.textContent = "Listen";
    this.said.textContent = sentence;
    this.forget("not listening");
  }

  forget(words) {
    this.speed.textContent = words;
    this.sure.textContent = "";
    this.place.dataset.rpm = "";
  }

  heard(told) {
    this.toldAt = performance.now();
    if (told.ready === false) {
      this.said.textContent = "Getting ready to listen. The first time this takes about a minute; nothing is heard yet.";
      this.speed.textContent = "getting ready";
      return;
    }
    if (told.ready) {
      this.ready = true;
      this.said.textContent = "Listening.";
      this.speed.textContent = "not heard";
      return;
    }
    for (const frame of told.frames) this.frames.push(frame);
    if (this.blades) this.blades.hidden = told.blades.length === 0;
    const last = this.frames[this.frames.length - 1];
    if (!last) return;
    this.place.dataset.behind = String(told.behind_s);
    this.speed.textContent = last.head_speed_rpm === null ? "not heard" : last.head_speed_rpm.toFixed(0) + " rpm";
    this.sure.textContent = last.head_speed_rpm === null ? "" : "confidence " + (100 * last.confidence).toFixed(0) + " %";
    this.place.dataset.rpm = last.head_speed_rpm === null ? "" : String(last.head_speed_rpm);
  }

  draw() {
    if (!this.running) return;
    if (!this.place.isConnected) {
      this.stop("");
      return;
    }
    if (this.ready && performance.now() - this.toldAt > OLD_AFTER_MS) this.forget("no sound arrives");
    const ink = getComputedStyle(document.body);
    const paper = this.canvas.getContext("2d");
    const width = (this.canvas.width = this.canvas.clientWidth * devicePixelRatio);
    const height = (this.canvas.height = this.canvas.clientHeight * devicePixelRatio);
    const end = this.frames.length ? this.frames[this.frames.length - 1].time_s : 0;
    const seen = this.frames.filter((frame) => frame.time_s > end - SHOWN_S && frame.head_speed_rpm !== null);
    paper.clearRect(0, 0, width, height);
    if (seen.length) {
      const speeds = seen.map((frame) => frame.head_speed_rpm);
      const low = Math.floor(Math.min(...speeds) / 100 - 0.5) * 100;
      const high = Math.ceil(Math.max(...speeds) / 100 + 0.5) * 100;
      paper.font = 12 * devicePixelRatio + "px sans-serif";
      paper.fillStyle = ink.getPropertyValue("--soft");
      paper.fillText(high + " rpm", 4, 14 * devicePixelRatio);
      paper.fillText(low + " rpm", 4, height - 4);
      paper.fillText("last " + SHOWN_S + " s", width - 70 * devicePixelRatio, height - 4);
      for (const frame of seen) {
        paper.globalAlpha = 0.25 + 0.75 * frame.confidence;
        paper.fillStyle = ink.getPropertyValue("--blue");
        const x = width * (1 - (end - frame.time_s) / SHOWN_S);
        const y = height * (1 - (frame.head_speed_rpm - low) / (high - low));
        paper.fillRect(x - 1.5 * devicePixelRatio, y - 1.5 * devicePixelRatio, 3 * devicePixelRatio, 3 * devicePixelRatio);
      }
      paper.globalAlpha = 1;
    }
    requestAnimationFrame(() => this.draw());
  }
}

window.steadyheadEars = window.steadyheadEars || new WeakSet();
new MutationObserver(() => {
  for (const place of document.querySelectorAll(".ear")) {
    if (!window.steadyheadEars.has(place) && place.querySelector(".ear-button")) {
      window.steadyheadEars.add(place);
      place.ear = new Ear(place);
    }
  }
}).observe(document.documentElement, { childList: true, subtree: true });
