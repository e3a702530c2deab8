(function () {
  "use strict";
  var film = JSON.parse(document.getElementById("film").textContent);
  var player = document.getElementById("player"), where = document.getElementById("where");
  var caption = document.getElementById("caption"), slider = document.getElementById("slider");
  var go = document.getElementById("go"), pace = document.getElementById("pace"), to = document.getElementById("to");
  var wrong = document.getElementById("wrong"), board = document.getElementById("board");
  var items = document.querySelectorAll(".turns li"), paces = [0.1, 0.2, 0.5, 1, 2, 3];
  var last = film.turns.length, n = 0, shown = 0, speed = film.pace, going = false;
  var first = {}, timer = 0, drawing = 0, drawn = -1e9, marked = null;
  // No eye sees more than three changes a second, however fast the keys come.
  var pause = 345;

  document.documentElement.className = "plays";

  function put(slot, content) {
    var g = document.getElementById(slot);
    // Parsed as SVG, which innerHTML of an SVG element does.
    if (g) { g.innerHTML = content; }
  }
  function keep(slot) {
    if (!(slot in first)) { first[slot] = document.getElementById(slot).innerHTML; }
  }
  // Moves the picture within its box so that what a turn changes is seen: all of it if it has room, else where it began.
  function follow(turn) {
    var box = board.getBoundingClientRect(), all = null, slots = Object.keys(turn.draw).sort(), k, g, r, one;
    for (k = 0; k < slots.length; k++) {
      g = document.getElementById(slots[k]);
      if (!g) { continue; }
      r = around(g);
      if (!one || slots[k] === turn.see) { one = r; }
      all = all ? { left: Math.min(all.left, r.left), top: Math.min(all.top, r.top), right: Math.max(all.right, r.right), bottom: Math.max(all.bottom, r.bottom) } : r;
    }
    if (!all) { return; }
    if (all.right - all.left > board.clientWidth || all.bottom - all.top > board.clientHeight) { all = one; }
    board.scrollLeft += beyond(all.left, all.right, box.left, box.left + board.clientWidth);
    board.scrollTop += beyond(all.top, all.bottom, box.top, box.top + board.clientHeight);
  }
  // Where a slot lies on the screen: its tile, also while that is empty.
  function around(g) {
    var m = g.getScreenCTM(), tile = 34;
    return { left: m.e, top: m.f, right: m.e + tile * m.a, bottom: m.f + tile * m.d };
  }
  // How far what is not seen lies beyond its box: then it comes into the middle.
  function beyond(from, to, low, high) {
    return from >= low && to <= high ? 0 : (from + to - low - high) / 2;
  }
  function draw() {
    drawing = 0;
    drawn = performance.now();
    var fresh = {}, k, slot;
    if (n < shown) {
      for (slot in first) { fresh[slot] = first[slot]; }
      shown = 0;
    }
    for (k = shown; k < n; k++) {
      for (slot in film.turns[k].draw) { keep(slot); fresh[slot] = film.looks[film.turns[k].draw[slot]]; }
    }
    for (slot in fresh) { put(slot, fresh[slot]); }
    shown = n;
    follow(film.turns[Math.max(0, n - 1)]);
    where.textContent = n === 0 ? "before the first of " + last + " turns" : "turn " + n + " of " + last + ", at " + film.turns[n - 1].at;
    caption.setAttribute("aria-live", going ? "off" : "polite");
    caption.textContent = "";
    var story = n === 0 ? ["Nothing has happened yet."] : film.turns[n - 1].story;
    for (k = 0; k < story.length; k++) {
      var p = document.createElement("p");
      p.textContent = story[k];
      caption.appendChild(p);
    }
    slider.value = n;
    slider.setAttribute("aria-valuetext", where.textContent);
    if (marked) { marked.removeAttribute("aria-current"); }
    marked = n > 0 ? items[n - 1] : null;
    if (marked) { marked.setAttribute("aria-current", "true"); }
    go.textContent = going ? "Stand" : "Go";
    pace.textContent = speed === 1 ? "1 turn a second" : speed < 1 ? "a turn in " + 1 / speed + " seconds" : speed + " turns a second";
  }
  function show() {
    if (!drawing) { drawing = setTimeout(draw, Math.max(0, drawn + pause - performance.now())); }
  }
  function move(k) {
    n = Math.max(0, Math.min(last, k));
    if (n === last) { stand(); }
    show();
  }
  function stand() { going = false; clearTimeout(timer); show(); }
  function tick() {
    if (!going) { return; }
    move(n + 1);
    if (going && film.turns[n - 1].mark) { stand(); }
    if (going) { timer = setTimeout(tick, Math.max(pause, 1000 / speed)); }
  }
  function start() {
    if (n === last) { n = 0; }
    going = true;
    show();
    timer = setTimeout(tick, Math.max(pause, 1000 / speed));
  }
  function step(by) {
    function begins(k) {
      return k <= 1 || film.turns[k - 1].at.replace(/\.\d+$/, "") !== film.turns[k - 2].at.replace(/\.\d+$/, "");
    }
    var k = n + by;
    while (k > 0 && k < last && !begins(k)) { k += by; }
    return k;
  }
  function faster(by) {
    var i = paces.indexOf(speed), k;
    if (i < 0) { for (i = 0, k = 0; k < paces.length; k++) { if (paces[k] < speed) { i = k; } } }
    speed = paces[Math.max(0, Math.min(paces.length - 1, i + by))];
    show();
  }
  // The first turn at or after an instant; why there is none is said beside the field.
  function find(text) {
    var want = text.trim().split("."), k, j, at, c;
    if (!/^\d+(\.\d+){0,2}$/.test(text.trim())) {
      wrong.textContent = (text.trim() || "nothing") + ": want tick, tick.step or tick.step.turn, as " + film.turns[0].at;
      return -1;
    }
    for (k = 1; k <= last; k++) {
      at = film.turns[k - 1].at.split(".");
      c = 0;
      for (j = 0; j < 3 && c === 0; j++) { c = Number(at[j]) - Number(want[j] || 0); }
      if (c >= 0) { return k; }
    }
    wrong.textContent = "nothing happens at " + text.trim() + " or later: the last turn is " + film.turns[last - 1].at;
    return -1;
  }
  function asked() {
    wrong.textContent = "";
    var k = find(to.value);
    to.setAttribute("aria-invalid", k < 0);
    if (k >= 0) { stand(); move(k); leave(); }
  }
  // The keys are the player's again.
  function leave() { player.focus({ preventScroll: true }); }
  function given() {
    wrong.textContent = "";
    to.value = "";
    to.setAttribute("aria-invalid", false);
    leave();
  }
  var acts = {
    go: function () { if (going) { stand(); } else { start(); } },
    on: function () { stand(); move(n + 1); },
    back: function () { stand(); move(n - 1); },
    stepon: function () { stand(); move(step(1)); },
    stepback: function () { stand(); move(step(-1)); },
    first: function () { stand(); move(0); },
    last: function () { stand(); move(last); },
    faster: function () { faster(1); },
    slower: function () { faster(-1); }
  };
  var keys = { " ": "go", ArrowRight: "on", ArrowLeft: "back", ArrowDown: "stepon", ArrowUp: "stepback", Home: "first", End: "last", "+": "faster", "=": "faster", "-": "slower" };

  player.addEventListener("click", function (e) {
    var act = e.target.getAttribute && e.target.getAttribute("data-do");
    if (act) { acts[act](); }
  });
  document.addEventListener("keydown", function (e) {
    if (e.ctrlKey || e.metaKey || e.altKey || !(player.contains(e.target) || e.target === document.body)) { return; }
    if (e.target === to) {
      if (e.key === "Enter") { asked(); e.preventDefault(); }
      if (e.key === "Escape") { given(); e.preventDefault(); }
      return;
    }
    if (e.shiftKey && /^Arrow/.test(e.key) && e.target !== slider) {
      board.scrollBy(e.key === "ArrowLeft" ? -136 : e.key === "ArrowRight" ? 136 : 0, e.key === "ArrowUp" ? -136 : e.key === "ArrowDown" ? 136 : 0);
      e.preventDefault();
      return;
    }
    if (e.key === "g") { to.focus(); to.select(); e.preventDefault(); return; }
    if (e.key === " " && e.target.tagName === "BUTTON") { return; }
    if (e.target === slider && (e.key === "PageUp" || e.key === "PageDown")) {
      stand();
      move(n + (e.key === "PageUp" ? 10 : -10));
      e.preventDefault();
    }
    if (keys[e.key]) { acts[keys[e.key]](); e.preventDefault(); }
  });
  slider.addEventListener("input", function () { stand(); move(Number(slider.value)); });
  document.querySelector(".turns").addEventListener("click", function (e) {
    var a = e.target.closest("a");
    if (a) { stand(); move(Number(a.getAttribute("data-turn"))); player.focus({ preventScroll: true }); player.scrollIntoView({ block: "nearest" }); e.preventDefault(); }
  });
  draw();
})();
