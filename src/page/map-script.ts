/**
 * Script that pans and zooms the map of the lake by dragging, pinching, double clicks, keys, buttons and the
 * wheel with Ctrl or Command.
 *
 * The view box of the map's inner `svg` is the visible part. The property `--px` keeps symbols and labels at
 * their size on the screen. A label appears once the zoom level leaves room for it. While the
 * whole lake is visible, dragging with a finger scrolls the page, not the map.
 */
export const MAP_SCRIPT = `(() => {
  const figure = document.querySelector('figure.overview');
  const map = figure?.querySelector('svg.map');
  if (!map) return;
  document.documentElement.classList.add('scripted');
  const root = map.ownerSVGElement;
  const levels = figure.dataset.levels.split(' ').map(Number);
  const [, , W, H] = map.getAttribute('viewBox').split(' ').map(Number);
  const bar = root.querySelector('.bar');
  const bars = bar.dataset.bars.split(';').map((each) => each.split('='));
  const MOST = 40;
  let [x, y, k] = [0, 0, 1];
  const show = () => {
    const wide = root.clientWidth || root.getBoundingClientRect().width;
    k = Math.max(1, Math.min(MOST, k));
    x = Math.max(0, Math.min(W - W / k, x));
    y = Math.max(0, Math.min(H - H / k, y));
    map.setAttribute('viewBox', [x, y, W / k, H / k].join(' '));
    const scale = wide / W;
    root.style.setProperty('--px', 1 / scale);
    map.style.setProperty('--px', 1 / scale / k);
    map.dataset.level = levels.map((least, i) => (scale * k >= least * 0.98 ? i : '')).join(' ');
    const fits = bars.filter(([length]) => length * k <= bar.dataset.longest);
    const [length, words] = fits[fits.length - 1] ?? bars[0];
    bar.querySelector('path').setAttribute('d', 'M.5 0v8h' + length * k + 'v-8');
    bar.querySelector('.bar-end').setAttribute('transform', 'translate(' + length * k + ' 8)');
    bar.querySelector('text').textContent = words;
    figure.classList.toggle('zoomed', k > 1);
  };
  /** Returns the position of a pointer event in the figure, in units of the unzoomed map. */
  const placeOf = ({ clientX, clientY }) => {
    const { left, top, width } = root.getBoundingClientRect();
    return [((clientX - left) / width) * W, ((clientY - top) / width) * W];
  };
  const zoomAt = ([px, py], times) => {
    const [fx, fy] = [x + px / k, y + py / k];
    k = Math.max(1, Math.min(MOST, k * times));
    [x, y] = [fx - px / k, fy - py / k];
    show();
  };
  const held = new Map();
  let moved = 0;
  map.addEventListener('pointerdown', (event) => {
    if (held.size === 0) moved = 0;
    held.set(event.pointerId, placeOf(event));
  });
  addEventListener('pointermove', (event) => {
    const before = held.get(event.pointerId);
    if (!before) return;
    const now = placeOf(event);
    const [dx, dy] = [now[0] - before[0], now[1] - before[1]];
    moved += Math.abs(dx) + Math.abs(dy);
    if (held.size === 2) {
      const [other] = [...held].filter(([id]) => id !== event.pointerId).map(([, place]) => place);
      const apart = (place) => Math.hypot(place[0] - other[0], place[1] - other[1]) || 1;
      [x, y] = [x - dx / k / 2, y - dy / k / 2];
      zoomAt([(now[0] + other[0]) / 2, (now[1] + other[1]) / 2], apart(now) / apart(before));
    } else if (k > 1 && moved > 6) {
      if (!map.hasPointerCapture(event.pointerId)) map.setPointerCapture(event.pointerId);
      [x, y] = [x - dx / k, y - dy / k];
      show();
    }
    held.set(event.pointerId, now);
  });
  for (const end of ['pointerup', 'pointercancel']) addEventListener(end, ({ pointerId }) => held.delete(pointerId));
  // The click after a drag must not open the mark under the pointer.
  map.addEventListener('click', (event) => { if (moved > 12) event.preventDefault(); }, true);
  map.addEventListener('dragstart', (event) => event.preventDefault());
  map.addEventListener('dblclick', (event) => zoomAt(placeOf(event), 2));
  map.addEventListener('wheel', (event) => {
    if (!event.ctrlKey && !event.metaKey) return;
    event.preventDefault();
    zoomAt(placeOf(event), Math.exp(-event.deltaY / 200));
  }, { passive: false });
  const middle = [W / 2, H / 2];
  const acts = {
    in: () => zoomAt(middle, 1.6),
    out: () => zoomAt(middle, 1 / 1.6),
    whole: () => { k = 1; show(); },
    left: () => { x -= W / k / 5; show(); },
    right: () => { x += W / k / 5; show(); },
    up: () => { y -= H / k / 5; show(); },
    down: () => { y += H / k / 5; show(); },
  };
  figure.addEventListener('click', ({ target }) => acts[target.dataset?.map]?.());
  const keys = { '+': 'in', '=': 'in', '-': 'out', 0: 'whole' };
  figure.addEventListener('keydown', (event) => {
    const arrow = k > 1 && /^Arrow/.test(event.key) ? event.key.slice(5).toLowerCase() : undefined;
    const act = acts[keys[event.key] ?? arrow];
    if (!act || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    act();
  });
  new ResizeObserver(show).observe(root);
  show();
})();`;
