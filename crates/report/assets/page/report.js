// What the page does beyond being read: charts answer a pointer, a finger or the arrow keys with the values at that
// time, tables sort. Everything is there without it. It draws no data of its own: values come from the data block,
// texts are set as text, never as markup.
"use strict";
(() => {
  const data = JSON.parse(document.getElementById("chart-answers").textContent);
  const svgNamespace = "http://www.w3.org/2000/svg";
  const unitsPerPx = 10;
  // Readings of one visit are taken minutes apart.
  const visitS = 45 * 60;

  const element = (name, className, text) => {
    const made = document.createElement(name);
    if (className) made.className = className;
    if (text !== undefined) made.textContent = text;
    return made;
  };
  const within = (value, low, high) => Math.min(Math.max(value, low), high);

  // ---- Time and numbers, as the tables write them.

  const clock = (epochS) => {
    let [, offsetS, name] = data.zone[0];
    for (const change of data.zone) if (epochS >= change[0]) [, offsetS, name] = change;
    const local = new Date((epochS + offsetS) * 1000);
    const two = (number) => String(number).padStart(2, "0");
    const day = data.days[local.getUTCDay()];
    const month = data.months[local.getUTCMonth()];
    const time = `${two(local.getUTCHours())}:${two(local.getUTCMinutes())}`;
    const filled = (form, places) => form.replace(/\{(\w+)\}/g, (_, place) => places[place]);
    const date = data.dates === "iso"
      ? local.toISOString().slice(0, 10)
      : filled(data.forms[data.dates], { day: local.getUTCDate(), month });
    const told = filled(data.forms.with_weekday, { weekday: day, date });
    return filled(data.forms.with_time, { date: told, time }) + (data.zone.length > 1 ? " " + name : "");
  };

  const number = (value, decimals) =>
    (value / 10 ** decimals).toFixed(decimals).replace("-", "−").replace(".", data.decimal_sign);

  // ---- What a member says at a time.

  const running = (deltas) => {
    let sum = 0;
    return deltas.map((delta) => (sum += delta));
  };

  /** Samples as [second, value, uncertainty], by stretch. */
  const unpack = (stretch) => {
    const values = running(stretch.values);
    const times = Array.isArray(stretch.step) ? running(stretch.step) : values.map((_, i) => stretch.from + i * stretch.step);
    const u = stretch.u;
    return times.map((time, i) => [time, values[i], u ? u[i] : null]);
  };

  const nearest = (sorted, time, at) => {
    let low = 0;
    let high = sorted.length - 1;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (at(sorted[middle]) < time) low = middle + 1;
      else high = middle;
    }
    const before = sorted[low - 1];
    return before !== undefined && time - at(before) <= at(sorted[low]) - time ? before : sorted[low];
  };

  const says = (member, unit, time) => {
    if (member.stretches) {
      for (const stretch of member.stretches) {
        const first = stretch[0][0];
        const last = stretch[stretch.length - 1][0];
        const reach = stretch.length > 1 ? (0.75 * (last - first)) / (stretch.length - 1) : 60;
        if (time < first - reach || time > last + reach) continue;
        const [, value, u] = nearest(stretch, time, (sample) => sample[0]);
        const spread = u === null ? "" : ` ± ${number(u, member.decimals)}`;
        return `${number(value, member.decimals)}${spread} ${unit}`;
      }
      return null;
    }
    if (member.moments) {
      const moment = member.moments.length ? nearest(member.moments, time, (moment) => moment[0]) : null;
      return moment && Math.abs(moment[0] - time) <= visitS ? moment[1] : null;
    }
    const span = member.spans.find(([from, to]) => time >= from && (to === null || time < to));
    const last = member.spans[member.spans.length - 1];
    return span ? span[2] : last && time === last[1] ? last[2] : null;
  };

  /** The instants at which an area has something to say, in order. */
  const instants = (area, length) => {
    const all = [];
    const spans = [];
    for (const member of area.groups.flatMap((group) => group.members)) {
      if (member.stretches) for (const stretch of member.stretches) for (const sample of stretch) all.push(sample[0]);
      else if (member.moments) for (const moment of member.moments) all.push(moment[0]);
      else for (const [from] of member.spans) spans.push(from);
    }
    const chosen = all.length ? all : spans;
    const sorted = [...new Set(chosen.map((time) => within(time, 0, length)))].sort((a, b) => a - b);
    return { times: sorted, snaps: all.length > 0 };
  };

  // ---- What a chart answers in.

  /** The panel of a figure that shows what is read out. */
  const panel = (figure) => {
    const readout = element("div", "readout");
    readout.hidden = true;
    const when = element("p", "when");
    const body = element("div", "said");
    const steps = element("p", "steps");
    const earlier = element("button", "", data.words.earlier);
    const later = element("button", "", data.words.later);
    const close = element("button", "", data.words.close);
    for (const button of [earlier, later, close]) button.type = "button";
    steps.append(earlier, later, close);
    readout.append(when, body, steps);
    figure.append(readout);
    return { readout, when, body, earlier, later, close };
  };

  /** A name with what it says, null for nothing. */
  const pair = ({ name, colour }, said) => {
    const both = element("div");
    const term = element("dt");
    if (colour) {
      const swatch = document.createElementNS(svgNamespace, "svg");
      swatch.setAttribute("class", "swatch");
      swatch.setAttribute("viewBox", "0 0 14 6");
      swatch.setAttribute("aria-hidden", "true");
      const bar = document.createElementNS(svgNamespace, "rect");
      bar.setAttribute("width", "14");
      bar.setAttribute("height", "6");
      bar.setAttribute("fill", colour);
      swatch.append(bar);
      term.append(swatch);
    }
    term.append(name);
    both.append(term, element("dd", said === null ? "quiet" : "", said === null ? data.nothing : said));
    return both;
  };

  // Right of the drawing where there is room, else beside `x`; the style sheet docks it below on a narrow screen.
  const place = (readout, svg, x) => {
    const drawing = svg.parentElement;
    const figure = drawing.parentElement;
    readout.style.top = `${drawing.offsetTop + 8}px`;
    if (figure.clientWidth - drawing.offsetWidth >= readout.offsetWidth) {
      readout.style.left = `${drawing.offsetWidth}px`;
      return;
    }
    const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
    const left = svg.getBoundingClientRect().left - figure.getBoundingClientRect().left + x * scale;
    const room = figure.clientWidth - left;
    const beside = room > readout.offsetWidth + 24 ? left + 14 : left - readout.offsetWidth - 14;
    readout.style.left = `${within(beside, 0, Math.max(0, figure.clientWidth - readout.offsetWidth))}px`;
  };

  /** Where a pointer is, px of the drawing. */
  const spot = (svg, event) => {
    const box = svg.getBoundingClientRect();
    const perPx = svg.viewBox.baseVal.width / unitsPerPx / box.width;
    return [(event.clientX - box.left) * perPx, (event.clientY - box.top) * perPx];
  };

  /** Keys of a drawing, each with what it does; `known` says which apply. */
  const listen = (drawing, keys, known) => {
    drawing.addEventListener("keydown", (event) => {
      const key = keys[event.key];
      if (!key || event.ctrlKey || event.altKey || event.metaKey || !known(event.key)) return;
      event.preventDefault();
      key();
    });
  };

  // ---- A chart of states: the state nearest to the pointer answers.

  // A pointer further from every state than this, px of the drawing, means none of them.
  const reach = 60;

  const plane = (about, figure, drawing, svg) => {
    const [across, up] = about.plane.axes;
    const at = ({ decimals, from, to }, value) =>
      from[1] + ((value / 10 ** decimals - from[0]) / (to[0] - from[0])) * (to[1] - from[1]);
    const all = about.plane.series.flatMap((series, nth) =>
      series.states.map(([time, x, y], index) => ({ nth, index, time, x, y, px: at(across, x), py: at(up, y) })),
    );
    const ring = document.createElementNS(svgNamespace, "g");
    ring.setAttribute("visibility", "hidden");
    for (const name of ["cursor-rim", "cursor"]) {
      const circle = document.createElementNS(svgNamespace, "circle");
      circle.setAttribute("class", name);
      circle.setAttribute("r", 7 * unitsPerPx);
      circle.setAttribute("fill", "none");
      ring.append(circle);
    }
    svg.append(ring);
    const { readout, when, body, earlier, later, close } = panel(figure);
    let shown = null;

    const hide = () => {
      readout.hidden = true;
      ring.setAttribute("visibility", "hidden");
      shown = null;
    };
    const show = (state, spoken) => {
      shown = state;
      for (const circle of ring.children) {
        circle.setAttribute("cx", state.px * unitsPerPx);
        circle.setAttribute("cy", state.py * unitsPerPx);
      }
      ring.setAttribute("visibility", "visible");
      readout.setAttribute("aria-live", spoken ? "polite" : "off");
      const end = within(state.time + about.plane.each, 0, about.length);
      when.textContent = `${clock(about.from + state.time)}–${clock(about.from + end).split(" ").find((part) => part.includes(":"))}`;
      const series = about.plane.series[state.nth];
      const list = element("dl");
      list.append(pair(series, ""));
      for (const [axis, value] of [[across, state.x], [up, state.y]]) {
        list.append(pair({ name: axis.name }, `${number(value, axis.decimals)} ${axis.unit}`));
      }
      body.replaceChildren(list);
      readout.hidden = false;
      place(readout, svg, state.px * unitsPerPx);
    };

    const nearestState = ([x, y]) => {
      const far = (state) => Math.hypot(state.px - x, state.py - y);
      const best = all.reduce((best, state) => (best === null || far(state) < far(best) ? state : best), null);
      return best !== null && far(best) <= reach ? best : null;
    };
    const point = (event) => {
      const state = nearestState(spot(svg, event));
      if (state) show(state, false);
      else if (event.pointerType === "mouse" && document.activeElement !== drawing) hide();
    };
    svg.addEventListener("pointermove", (event) => event.pointerType !== "touch" && point(event));
    svg.addEventListener("click", point);
    figure.addEventListener("pointerleave", (event) => event.pointerType === "mouse" && hide());

    const own = () => all.filter((state) => state.nth === (shown ? shown.nth : 0));
    const to = (index) => {
      const states = own();
      if (states.length) show(states[within(index, 0, states.length - 1)], true);
    };
    const go = (count) => to(shown ? shown.index + count : count > 0 ? 0 : Infinity);
    const turn = (count) => {
      if (!shown) return go(1);
      const nth = within(shown.nth + count, 0, about.plane.series.length - 1);
      const states = all.filter((state) => state.nth === nth);
      if (states.length) show(nearest(states, shown.time, (state) => state.time), true);
    };
    earlier.addEventListener("click", () => go(-1));
    later.addEventListener("click", () => go(1));
    close.addEventListener("click", hide);
    const keys = {
      ArrowLeft: () => go(-1),
      ArrowRight: () => go(1),
      ArrowUp: () => turn(-1),
      ArrowDown: () => turn(1),
      Home: () => to(0),
      End: () => to(Infinity),
      Escape: hide,
    };
    listen(drawing, keys, () => true);
    drawing.addEventListener("blur", (event) => !figure.contains(event.relatedTarget) && hide());
    drawing.setAttribute("aria-label", `${about.title}. ${data.plane_keys}`);
  };

  // ---- A chart over time.

  const chart = (about) => {
    const figure = document.getElementById(`figure-${about.id}`);
    const drawing = figure && figure.querySelector(".drawing");
    const svg = drawing && drawing.querySelector("svg");
    if (!svg) return;
    if (about.plane) {
      plane(about, figure, drawing, svg);
      return;
    }
    for (const member of about.areas.flatMap((area) => area.groups).flatMap((group) => group.members)) {
      if (member.samples) member.stretches = member.samples.map(unpack);
    }
    for (const area of about.areas) Object.assign(area, instants(area, about.length));

    // The line of time, on a rim that sets it apart from what it crosses.
    const cursor = document.createElementNS(svgNamespace, "g");
    cursor.setAttribute("visibility", "hidden");
    const lines = ["cursor-rim", "cursor"].map((name) => {
      const line = document.createElementNS(svgNamespace, "line");
      line.setAttribute("class", name);
      cursor.append(line);
      return line;
    });
    svg.append(cursor);
    const { readout, when, body, earlier, later, close } = panel(figure);

    let area = null;
    let time = 0;

    const hide = () => {
      readout.hidden = true;
      cursor.setAttribute("visibility", "hidden");
      area = null;
    };

    const show = (chosen, at, spoken) => {
      area = chosen;
      time = at;
      const x = (area.left + (time / about.length) * area.width) * unitsPerPx;
      for (const line of lines) {
        line.setAttribute("x1", x);
        line.setAttribute("x2", x);
        line.setAttribute("y1", area.top * unitsPerPx);
        line.setAttribute("y2", (area.top + area.height) * unitsPerPx);
      }
      cursor.setAttribute("visibility", "visible");
      readout.setAttribute("aria-live", spoken ? "polite" : "off");
      when.textContent = clock(about.from + time);
      body.replaceChildren();
      if (area.title) body.append(element("p", "quiet", area.title));
      for (const group of area.groups) {
        if (group.title) body.append(element("p", "quiet", group.title));
        const list = element("dl");
        for (const member of group.members) {
          list.append(pair(member, says(member, group.unit, time)));
        }
        body.append(list);
      }
      readout.hidden = false;
      place(readout, svg, x);
    };

    const at = (event) => {
      const [x, y] = spot(svg, event);
      const chosen = about.areas.find(
        (a) => x >= a.left - 12 && x <= a.left + a.width + 12 && y >= a.top && y <= a.top + a.height,
      );
      if (!chosen || !chosen.groups.length) return null;
      const exact = within(((x - chosen.left) / chosen.width) * about.length, 0, about.length);
      return [chosen, chosen.snaps ? nearest(chosen.times, exact, (t) => t) : Math.round(exact / 60) * 60];
    };

    const point = (event) => {
      const found = at(event);
      if (found) show(found[0], found[1], false);
      else if (event.pointerType === "mouse" && document.activeElement !== drawing) hide();
    };
    svg.addEventListener("pointermove", (event) => event.pointerType !== "touch" && point(event));
    svg.addEventListener("click", point);
    figure.addEventListener("pointerleave", (event) => event.pointerType === "mouse" && hide());

    const spoken = about.areas.filter((a) => a.times.length);
    const first = () => spoken.length && show(area || spoken[0], (area || spoken[0]).times[0], true);
    const last = () => spoken.length && show(area || spoken[0], (area || spoken[0]).times.at(-1), true);
    const step = (count) => {
      if (!area) return count > 0 ? first() : last();
      const next = count > 0 ? area.times.find((t) => t > time) : area.times.findLast((t) => t < time);
      show(area, next === undefined ? time : next, true);
    };
    const leap = (seconds) => {
      if (!area) return step(seconds);
      show(area, nearest(area.times, within(time + seconds, 0, about.length), (t) => t), true);
    };
    const turn = (count) => {
      if (!area) return first();
      const index = within(spoken.indexOf(area) + count, 0, spoken.length - 1);
      show(spoken[index], nearest(spoken[index].times, time, (t) => t), true);
    };
    earlier.addEventListener("click", () => step(-1));
    later.addEventListener("click", () => step(1));
    close.addEventListener("click", hide);

    const keys = {
      ArrowLeft: () => step(-1),
      ArrowRight: () => step(1),
      PageUp: () => leap(-86400),
      PageDown: () => leap(86400),
      ArrowUp: () => turn(-1),
      ArrowDown: () => turn(1),
      Home: first,
      End: last,
      Escape: hide,
    };
    listen(drawing, keys, (key) => about.areas.length > 1 || (key !== "ArrowUp" && key !== "ArrowDown"));
    drawing.addEventListener("blur", (event) => !figure.contains(event.relatedTarget) && hide());
    drawing.setAttribute("aria-label", `${about.title}. ${data.keys}`);
  };

  // ---- Tables.

  const sortKey = (cell) => {
    const keyed = cell.querySelector("[data-key]");
    if (keyed) return Number(keyed.dataset.key);
    const text = cell.textContent.trim();
    const plain = text.replace(/−/g, "-").replace(/^[≤>+\s]+/, "");
    return /^-?\d/.test(plain) ? parseFloat(plain) : text;
  };

  // Numbers before words, missing values last.
  const compare = (a, b) => {
    if (a === data.nothing || b === data.nothing) return (a === data.nothing) - (b === data.nothing);
    if (typeof a === "number" && typeof b === "number") return a - b;
    if (typeof a === "number") return -1;
    if (typeof b === "number") return 1;
    return a.localeCompare(b, document.documentElement.lang, { numeric: true });
  };

  const sortable = (table) => {
    const bodies = [...table.tBodies];
    const ordered = bodies.map((body) => [...body.rows]);
    const moving = (row) => !row.matches(".group, .total");
    if (!ordered.some((rows) => rows.filter(moving).length > 1)) return;
    const heads = [...table.tHead.rows[0].cells];
    heads.forEach((head, column) => {
      const button = element("button", "sort");
      button.type = "button";
      button.append(...head.childNodes);
      head.append(button);
      button.addEventListener("click", () => {
        const now = head.getAttribute("aria-sort");
        const next = now === null ? "ascending" : now === "ascending" ? "descending" : null;
        for (const other of heads) other.removeAttribute("aria-sort");
        if (next) head.setAttribute("aria-sort", next);
        const sign = next === "descending" ? -1 : 1;
        bodies.forEach((body, index) => {
          const rows = ordered[index];
          const movable = rows.filter(moving).map((row) => [sortKey(row.cells[column]), row]);
          if (next) {
            movable.sort(([a], [b]) => {
              const missing = a === data.nothing || b === data.nothing;
              return missing ? compare(a, b) : sign * compare(a, b);
            });
          }
          const fixed = (group) => rows.filter((row) => row.matches(group));
          body.append(...fixed(".group"), ...movable.map(([, row]) => row), ...fixed(".total"));
        });
      });
    });
  };

  data.charts.forEach(chart);
  document.querySelectorAll("main table").forEach(sortable);
  document.documentElement.classList.add("live");
})();
