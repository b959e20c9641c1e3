// Measures of a page, each a list of sentences that is empty where all is well. Read by boxes.py.
const seen = e => e.checkVisibility({visibilityProperty: true, opacityProperty: true}) && !e.closest('.skip, .unseen, option, [aria-hidden=true] .tag:empty');
const scrolls = /auto|scroll/, cuts = /hidden|clip/;
function texts() {
  const found = [], walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode, el = node.parentElement;
    if (!node.textContent.trim() || el.closest('script, style, noscript, textarea') || !seen(el)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const r of range.getClientRects())
      if (r.width > 0.5 && r.height > 0.5) found.push({el, text: node.textContent.trim().slice(0, 40), box: {left: r.left, right: r.right, top: r.top, bottom: r.bottom}});
  }
  return found;
}
const named = el => (el.id ? '#' + el.id : el.className && typeof el.className === 'string' ? '.' + el.className.trim().split(/\s+/).join('.') : el.tagName.toLowerCase());
const fixed = el => { for (let e = el; e; e = e.parentElement) if (/fixed|sticky/.test(getComputedStyle(e).position)) return e; return null; };

// Text that a box cuts off, or that lies beyond the screen where nothing scrolls to it.
function cut() {
  const wrong = [];
  for (const {el, text, box} of texts()) {
    let sideways = false;
    for (let e = el; e && e !== document.documentElement; e = e.parentElement) {
      const style = getComputedStyle(e), r = e.getBoundingClientRect();
      const x0 = r.left + e.clientLeft, x1 = x0 + e.clientWidth, y0 = r.top + e.clientTop, y1 = y0 + e.clientHeight;
      if (style.display !== 'inline' && !sideways && cuts.test(style.overflowX) && (box.left < x0 - 1.5 || box.right > x1 + 1.5)) wrong.push(`${named(e)} cuts "${text}"`);
      if (style.display !== 'inline' && cuts.test(style.overflowY) && (box.top < y0 - 3 || box.bottom > y1 + 3)) wrong.push(`${named(e)} cuts "${text}" above or below`);
      sideways ||= scrolls.test(style.overflowX);
      if (scrolls.test(style.overflowY)) break;
    }
    if (!sideways && (box.left < -1 || box.right > innerWidth + 1)) wrong.push(`"${text}" is beyond the screen`);
  }
  const wide = document.documentElement.scrollWidth - innerWidth;
  if (wide > 0) wrong.push(`${wide} px of sideways scroll`);
  return [...new Set(wrong)];
}

// Text over other text, or over a button that it is not of. A bar that stays may lie over what scrolls under it.
function laidOver() {
  const within = (box, el) => { let b = {...box};
    for (let e = el.parentElement; e && e !== document.body; e = e.parentElement) if (getComputedStyle(e).overflowY !== 'visible') {
      const r = e.getBoundingClientRect();
      b = {left: Math.max(b.left, r.left), right: Math.min(b.right, r.right), top: Math.max(b.top, r.top), bottom: Math.min(b.bottom, r.bottom)};
    }
    return b; };
  const dialog = document.querySelector('dialog[open]');
  const mine = e => !dialog || dialog.contains(e);
  const all = texts().filter(t => mine(t.el)).map(t => ({...t, box: within(t.box, t.el), fixed: fixed(t.el)}));
  const controls = [...document.querySelectorAll('button, a.button, input, select, textarea')].filter(e => seen(e) && mine(e) && !e.matches('[type=range], .unseen'))
    .map(el => ({el, text: el.textContent.trim().slice(0, 40) || el.id, box: within(el.getBoundingClientRect(), el), fixed: fixed(el)}));
  const wrong = [];
  const over = (a, b) => a.fixed === b.fixed && Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left) > 2 && Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top) > 3;
  all.forEach((a, i) => {
    for (const b of all.slice(i + 1)) if (a.el !== b.el && !a.el.contains(b.el) && !b.el.contains(a.el) && over(a, b)) wrong.push(`"${a.text}" and "${b.text}"`);
    for (const c of controls) if (!c.el.contains(a.el) && over(a, c)) wrong.push(`"${a.text}" and the button "${c.text}"`);
  });
  return [...new Set(wrong)];
}

// Text that a bar at the foot of the screen hides for good, at the very end of the page.
function underBar() {
  const bar = [...document.querySelectorAll('.bar')].find(e => getComputedStyle(e).position === 'fixed');
  if (!bar) return [];
  const end = document.documentElement.scrollHeight - bar.getBoundingClientRect().height;
  const wrong = texts().filter(t => !fixed(t.el) && t.box.bottom + scrollY > end + 1).map(t => `the bar hides "${t.text}"`);
  const share = bar.getBoundingClientRect().height / innerHeight;
  return share > 0.25 ? [...wrong, `the bar takes ${Math.round(100 * share)} % of the screen`] : wrong;
}

// Text with less contrast than AA asks (large: 24 px, or 18.66 px bold); for numbers that are read, on bright paper, AAA.
function faint() {
  const parse = text => { const n = text.match(/-?[\d.]+(e-?\d+)?/g).map(Number), unit = text.startsWith('color(') ? 255 : 1;
    return [n[0] * unit, n[1] * unit, n[2] * unit, n[3] ?? 1]; };
  const onto = ([r, g, b, a], under) => [r, g, b].map((c, i) => c * a + under[i] * (1 - a));
  const light = c => { const [r, g, b] = c.map(v => (v /= 255, v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const ground = el => { const layers = []; for (let e = el; e; e = e.parentElement) layers.push(parse(getComputedStyle(e).backgroundColor));
    return layers.reverse().reduce((under, layer) => onto(layer, under), [255, 255, 255]); };
  const bright = light(ground(document.body)) > 0.5, wrong = [];
  for (const {el, text} of texts()) {
    const style = getComputedStyle(el), size = parseFloat(style.fontSize), bold = Number(style.fontWeight) >= 600;
    const large = size >= 24 || (bold && size >= 18.66), number = el.closest('.figure, .value, .rate, .y, .tick, .tag b, .big') && /\d/.test(text);
    const least = number && bright ? (large ? 4.5 : 7) : large ? 3 : 4.5;
    const under = ground(el), [a, b] = [light(onto(parse(style.color), under)), light(under)].sort((p, q) => q - p);
    const ratio = (a + 0.05) / (b + 0.05);
    if (ratio < least && !el.closest(':disabled')) wrong.push(`${named(el)} "${text}" has ${ratio.toFixed(2)}, ${least} wanted`);
  }
  return [...new Set(wrong)];
}
