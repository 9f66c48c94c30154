/**
 * Script of the list of spots: sorts and counts the rows and searches names. Style rules filter the rows. If
 * the row of a spot is hidden, the link from the spot to the list leads to the top of the list. The state of
 * the history entry keeps the chosen options across a reload. Nothing is sent anywhere.
 */
export const PAGE_SCRIPT = `(() => {
  const get = (id) => document.getElementById(id);
  const [rows, sort, reverse, find, count] = ['rows', 'sort', 'reverse', 'find', 'count'].map(get);
  if (!rows || !sort) return;
  document.documentElement.classList.add('scripted');
  const all = [...rows.children].map((row) => ({
    row,
    ranks: row.dataset.rank.split(' ').map(Number),
    name: row.querySelector('th').textContent.toLowerCase(),
  }));
  const heads = [...document.querySelectorAll('#list th[data-key]')];
  const isShown = (row) => row.getClientRects().length > 0;
  let order = '';
  const arrange = () => {
    const wanted = sort.value + reverse.checked;
    if (wanted === order) return;
    order = wanted;
    const back = reverse.checked ? -1 : 1;
    const key = sort.selectedIndex;
    all.sort((a, b) => back * (a.ranks[key] - b.ranks[key]));
    rows.append(...all.map(({ row }) => row));
    for (const head of heads) {
      if (head.dataset.key === sort.value) head.setAttribute('aria-sort', back < 0 ? 'descending' : 'ascending');
      else head.removeAttribute('aria-sort');
    }
  };
  // The chosen options stay with this entry of the browser's history, so a rebuilt page shows the same list.
  const controls = [...get('controls').querySelectorAll('select, input')];
  const keep = () =>
    history.replaceState({ list: controls.map((each) => (each === reverse ? each.checked : each.value)) }, '');
  const restore = () => {
    const { list = [] } = history.state ?? {};
    list.forEach((value, i) => {
      if (controls[i] === reverse) reverse.checked = value;
      else if (controls[i]) controls[i].value = value;
      // The page may no longer offer the stored choice, such as a structure that no spot has any more.
      if (controls[i]?.selectedIndex === -1) controls[i].selectedIndex = 0;
    });
  };
  const update = () => {
    arrange();
    const text = find.value.trim().toLowerCase();
    for (const { row, name } of all) row.hidden = !name.includes(text);
    const shown = all.filter(({ row }) => isShown(row)).length;
    count.textContent = shown + ' of ' + all.length + (all.length === 1 ? ' spot' : ' spots');
    keep();
  };
  for (const head of heads) {
    const button = document.createElement('button');
    button.type = 'button';
    button.textContent = head.textContent;
    button.addEventListener('click', () => {
      reverse.checked = sort.value === head.dataset.key && !reverse.checked;
      sort.value = head.dataset.key;
      update();
    });
    head.replaceChildren(button);
  }
  get('controls').addEventListener('input', update);
  get('controls').addEventListener('submit', (event) => event.preventDefault());
  document.addEventListener('click', (event) => {
    const link = event.target.closest('a.up');
    const row = link && get(link.hash.slice(1));
    if (!row || isShown(row)) return;
    event.preventDefault();
    location.hash = 'spots';
  });
  addEventListener('hashchange', keep);
  // Some browsers restore controls themselves, after this script has run.
  addEventListener('pageshow', update);
  restore();
  update();
})();`;
