/**
 * The page's only script: puts the rows of the list in the chosen order, counts them, and searches names.
 *
 * Filters stay with the style rules; the list works without any of this. Nothing leaves the page.
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
  const update = () => {
    const back = reverse.checked ? -1 : 1;
    const text = find.value.trim().toLowerCase();
    const key = sort.selectedIndex;
    all.sort((a, b) => back * (a.ranks[key] - b.ranks[key]));
    for (const { row, name } of all) {
      row.hidden = !name.includes(text);
      rows.append(row);
    }
    for (const head of heads) {
      if (head.dataset.key === sort.value) head.setAttribute('aria-sort', back < 0 ? 'descending' : 'ascending');
      else head.removeAttribute('aria-sort');
    }
    const shown = all.filter(({ row }) => row.getClientRects().length > 0).length;
    count.textContent = shown + ' of ' + all.length + (all.length === 1 ? ' spot' : ' spots');
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
  update();
})();`;
