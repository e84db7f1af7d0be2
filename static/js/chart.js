// Turns the SVG of templates/parts/_chart.html into a chart that answers to pointer and keys.
// If plotly doesn't arrive or can't draw, the SVG stays as it is.
(() => {
  "use strict";

  const WIDE_REM = 40;
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  let arriving = null;

  function link(href) {
    return new Promise((resolve, reject) => {
      const sheet = document.createElement("link");
      sheet.rel = "stylesheet";
      // Under this id and class plotly finds its own rules and adds no inline style.
      sheet.id = "plotly.js-style-global";
      sheet.className = "no-inline-styles";
      sheet.href = href;
      sheet.addEventListener("load", resolve);
      sheet.addEventListener("error", reject);
      document.head.append(sheet);
    });
  }

  function script(src) {
    return new Promise((resolve, reject) => {
      const tag = document.createElement("script");
      tag.src = src;
      tag.addEventListener("load", resolve);
      tag.addEventListener("error", reject);
      document.head.append(tag);
    });
  }

  function plotly(figure) {
    if (window.Plotly) return Promise.resolve();
    arriving ??= link(figure.dataset.plotlyCss).then(() => script(figure.dataset.plotlyJs));
    return arriving;
  }

  function scheme() {
    const chosen = document.documentElement.dataset.theme;
    return chosen ? (chosen === "dark" ? "dark" : "light") : (dark.matches ? "dark" : "light");
  }

  function coloured(value, colours) {
    if (Array.isArray(value)) return value.map((item) => coloured(item, colours));
    if (value && typeof value === "object") {
      return Object.fromEntries(Object.entries(value).map(([key, item]) => [key, coloured(item, colours)]));
    }
    return typeof value === "string" && value.startsWith("@") ? colours[value.slice(1)] : value;
  }

  class Chart {
    constructor(figure) {
      this.figure = figure;
      this.paper = figure.querySelector("[data-chart-paper]");
      this.stage = figure.querySelector("[data-chart-stage]");
      this.readout = figure.querySelector("[data-chart-readout]");
      this.payload = JSON.parse(document.getElementById(figure.dataset.chart).textContent);
      this.dots = this.drawnDots();
      this.at = -1;
    }

    variant() {
      const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
      return this.figure.clientWidth >= WIDE_REM * rem ? "wide" : "narrow";
    }

    drawnDots() {
      const dots = this.payload.figures.wide.data.flatMap((trace, curveNumber) =>
        (trace.customdata || []).map((index, pointNumber) =>
          ({ index, curveNumber, pointNumber, ...this.payload.points[index] })));
      return dots.sort((one, other) => one.index - other.index);
    }

    async start() {
      this.stage.hidden = false;
      await this.draw();
      this.paper.hidden = true;
      if (this.dots.length) this.listen();
      new ResizeObserver(() => this.fit()).observe(this.figure);
      dark.addEventListener("change", () => this.draw());
      new MutationObserver(() => this.draw()).observe(document.documentElement, { attributeFilter: ["data-theme"] });
    }

    fail() {
      this.stage.hidden = true;
      this.readout.hidden = true;
      this.paper.hidden = false;
    }

    draw() {
      this.shown = this.variant();
      const { data, layout, config } = coloured(this.payload.figures[this.shown], this.payload.colours[scheme()]);
      this.ring = data.findIndex((trace) => trace.name === "ring");
      const { x, y } = this.place(data);
      data[this.ring] = { ...data[this.ring], x, y };
      return window.Plotly.react(this.stage, data, layout, config);
    }

    fit() {
      // Nothing to fit while the drawing is hidden, as it is on paper.
      if (!this.stage.clientWidth) return;
      if (this.variant() === this.shown) window.Plotly.Plots.resize(this.stage);
      else this.draw();
    }

    place(data) {
      const dot = this.dots[this.at];
      if (!dot) return { x: [], y: [] };
      const trace = data[dot.curveNumber];
      return { x: [trace.x[dot.pointNumber]], y: [trace.y[dot.pointNumber]] };
    }

    listen() {
      const { stage, payload } = this;
      stage.tabIndex = 0;
      stage.setAttribute("role", "application");
      stage.setAttribute("aria-label", `${payload.words.title}. ${payload.words.walk}`);
      this.readout.hidden = false;
      stage.addEventListener("keydown", (event) => this.key(event));
      stage.addEventListener("focus", () => { if (this.at < 0) this.say(payload.words.walk); });
      stage.addEventListener("blur", () => this.leave());
      stage.on("plotly_click", (event) => this.open(this.payload.points[event.points[0].customdata]));
      stage.on("plotly_hover", (event) => {
        const point = this.payload.points[event.points[0].customdata];
        stage.classList.toggle("chart-can-open", Boolean(point && point.url));
      });
      stage.on("plotly_unhover", () => stage.classList.remove("chart-can-open"));
    }

    key(event) {
      if (event.ctrlKey || event.altKey || event.metaKey) return;
      const last = this.dots.length - 1;
      const goal = {
        ArrowRight: Math.min(last, this.at + 1),
        ArrowLeft: this.at < 0 ? last : Math.max(0, this.at - 1),
        Home: 0,
        End: last,
      }[event.key];
      if (goal !== undefined) {
        event.preventDefault();
        this.go(goal);
      } else if (event.key === "Enter" && this.dots[this.at]) {
        this.open(this.dots[this.at]);
      } else if (event.key === "Escape") {
        this.leave();
      }
    }

    go(goal) {
      this.at = goal;
      const dot = this.dots[goal];
      const { x, y } = this.place(this.stage.data);
      window.Plotly.restyle(this.stage, { x: [x], y: [y] }, [this.ring]);
      this.say(dot.url ? `${dot.text}. ${this.payload.words.open}` : dot.text);
    }

    leave() {
      this.at = -1;
      window.Plotly.restyle(this.stage, { x: [[]], y: [[]] }, [this.ring]);
      this.say("");
    }

    open(point) {
      if (point && point.url) window.location.assign(point.url);
    }

    say(text) {
      this.readout.textContent = text;
    }
  }

  async function upgrade(figure) {
    if (figure.dataset.chartReady) return;
    figure.dataset.chartReady = "yes";
    const chart = new Chart(figure);
    try {
      await plotly(figure);
      await chart.start();
    } catch (problem) {
      chart.fail();
    }
  }

  function upgradeAll(root) {
    if (root.matches && root.matches("[data-chart]")) upgrade(root);
    root.querySelectorAll("[data-chart]").forEach(upgrade);
  }

  // Parts of a page that arrive later announce themselves with htmx:load.
  document.addEventListener("htmx:load", (event) => upgradeAll(event.target));
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", () => upgradeAll(document));
  else upgradeAll(document);
})();
