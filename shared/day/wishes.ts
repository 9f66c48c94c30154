import type { Report } from '../contract/index.ts';
import { nearNames, parseClock, dayPlanMessages as says } from '../text/index.ts';
import { type MarkNote, markNames, type Wish } from './marks.ts';
import type { DayPlanOptions } from './options.ts';

type Notes = ReadonlyMap<string, MarkNote>;

/**
 * Adds the wishes and opening times from the options to the notes of the marks. An option overrides the list
 * of marks.
 *
 * @param names Names of all marks.
 */
export function withWishes(
  notes: Notes,
  options: Pick<DayPlanOptions, Wish | 'notBefore'>,
  names: ReadonlySet<string>,
  report: Report,
): Map<string, MarkNote> {
  const wished = new Map(notes);
  const find = markNames(names);
  /** Wishes found so far in the options, by mark. */
  const typed = new Map<string, Wish>();
  const add = (flag: string, text: string, note: Partial<MarkNote>): void => {
    const name = find(text);
    if (name === undefined) {
      report(says.mark(undefined, flag, text, nearNames(text, names)));
      return;
    }
    const other = typed.get(name);
    if (note.wish !== undefined && other !== undefined && !isSame(other, note.wish))
      report(says['wish-conflict'](undefined, name, other, note.wish));
    if (note.wish !== undefined) typed.set(name, note.wish);
    wished.set(name, { ...wished.get(name), ...note });
  };
  for (const name of options.must ?? []) add('--must', name, { wish: 'must' });
  for (const name of options.skip ?? []) add('--skip', name, { wish: 'skip' });
  for (const wish of ['first', 'last'] as const) {
    const name = options[wish];
    if (name === undefined) continue;
    // The option replaces the mark that the list puts first or last.
    for (const [other, note] of wished)
      if (note.wish === wish) wished.set(other, { ...note, wish: undefined });
    add(`--${wish}`, name, { wish });
  }
  for (const text of options.notBefore ?? []) {
    const match = /^(.+?)\s*=\s*([^=]+)$/.exec(text);
    const open = match === null ? undefined : parseClock(match[2]);
    if (match === null || open === undefined) report(says['not-before'](undefined, text));
    else add('--not-before', match[1], { open });
  }
  for (const wish of ['first', 'last'] as const) {
    const of = [...wished].filter(([, note]) => note.wish === wish).map(([name]) => name);
    if (of.length > 1) report(says['wish-twice'](undefined, wish, of));
  }
  return wished;
}

/** True when a later wish `b` for a mark does not contradict the wish `a`. */
const isSame = (a: Wish, b: Wish): boolean => a === b || (a === 'must' && b !== 'skip');
