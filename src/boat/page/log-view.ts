import { sum } from 'd3-array';
import { upperFirst } from 'es-toolkit';
import { type SideLetter, sideLetter } from '../../../shared/day/index.ts';
import { formatClock, parseClock } from '../../../shared/text/index.ts';
import { sideOf } from '../current-plan.ts';
import { type Entry, type EntryKind, logCsv } from '../entries.ts';
import { button, choice, element, rowList, taps } from './dom.ts';
import type { Session } from './session.ts';

/** Id of the entry being edited; 0 for a new entry, undefined for none. */
let edited: number | undefined;

export function logView(session: Session): HTMLElement {
  const show = (id?: number): void => {
    edited = id;
    session.show();
  };
  const csv = logCsv(session.logTable());
  const fish = sum(session.stops, (stop) => (stop.date === session.clock.date ? stop.fish : 0));
  const status = element('p', { role: 'status' });
  return element(
    'section',
    { class: 'log', 'aria-label': 'Log' },
    element('h1', `Log, ${fish} fish today`),
    taps(
      button('Undo last', () => session.undo(), { disabled: session.entries.length === 0 }),
      button('Add one', () => show(0)),
      button('Export', () => exportLog(session, csv)),
      button('Copy', async () => {
        status.textContent = await copyLog(csv);
      }),
    ),
    status,
    edited === 0 ? form(session, undefined, show) : undefined,
    rowList('ol', session.entries.toReversed(), (entry) =>
      edited === entry.id ? element('li', form(session, entry, show)) : entryRow(session, entry, show),
    ),
    element('h2', 'The log as text'),
    element('textarea', { readonly: true, rows: 6, 'aria-label': 'The log as text', id: 'log-text' }, csv),
    element(
      'p',
      session.hand.command === undefined
        ? 'Tonight, tap Export and use the file on your computer: downslope plan with --log, or downslope review.'
        : `Save it as boat.csv. For the same plan on a computer, add to your plan command: --log boat.csv ${session.hand.command}`,
    ),
  );
}

function entryRow(session: Session, entry: Entry, show: (id: number) => void): HTMLElement {
  const { kind, mark, side, lure, size, angle, wish, date, time, lat, lon } = entry;
  const words = [
    kind === 'wish' ? `${mark}: ${wish === 'none' ? 'as planned' : wish}` : `${mark} ${side}`,
    size ?? '',
    kind === 'fish' || kind === 'missed' ? (lure ?? '') : '',
    angle ?? '',
    lat === undefined ? '' : `${lat.toFixed(5)}, ${lon?.toFixed(5)}`,
  ].filter((text) => text !== '');
  const day = date === session.clock.date ? '' : `${date} `;
  return element(
    'li',
    element('p', element('b', `${day}${formatClock(time)} ${upperFirst(kind)}`), ` ${words.join(', ')}`),
    taps(
      kind === 'wish' ? undefined : button('Edit', () => show(entry.id)),
      button('Delete', () => session.remove(entry.id)),
    ),
  );
}

/** Returns the words for sizes of fish from the options, such as `keeper`. */
export const sizeWords = ({ data }: Session): string[] =>
  data.options.sizes.map((text) => text.split('=')[0].trim().toLowerCase());

function form(session: Session, entry: Entry | undefined, show: (id?: number) => void): HTMLElement {
  const { clock, current, planner } = session;
  const kinds: EntryKind[] = ['fish', 'missed', 'start', 'leave'];
  if (entry?.kind === 'angle') kinds.push('angle');
  const mark = entry?.mark ?? current?.spot.name ?? planner.spots[0]?.name ?? '';
  const kind = choice(
    kinds.map((value) => [value, upperFirst(value)]),
    entry?.kind ?? 'fish',
  );
  const time = element('input', { type: 'time', value: formatClock(entry?.time ?? clock.time) });
  const spot = choice(
    planner.spots.map(({ name }) => [name, name]),
    planner.spot(mark)?.name ?? mark,
  );
  const sides = Object.entries({ D: 'D, deep', U: 'U, shallow' });
  const side = choice(sides, entry?.side ?? current?.side ?? 'D');
  const sizes = sizeWords(session).map((word) => [word, word] as const);
  const size = choice([['', 'not noted'], ...sizes], entry?.size ?? '');
  const lure = element('input', { value: entry?.lure ?? planner.spot(mark)?.lure ?? '' });
  const save = async (): Promise<void> => {
    const chosen = planner.spot(spot.value);
    const letter = side.value as SideLetter;
    edited = undefined;
    await session.save({
      ...(entry ?? { date: clock.date }),
      kind: kind.value as EntryKind,
      time: parseClock(time.value) ?? clock.time,
      mark: spot.value,
      side: chosen === undefined ? letter : sideLetter(sideOf(chosen, letter)),
      size: kind.value === 'fish' && size.value !== '' ? size.value : undefined,
      lure: lure.value.trim() === '' ? undefined : lure.value.trim(),
    });
  };
  const rows = Object.entries({ What: kind, Time: time, Spot: spot, Side: side, Size: size, Lure: lure });
  return element(
    'div',
    { class: 'form' },
    ...rows.map(([label, control]) => element('label', label, control)),
    taps(
      button('Save', save),
      button('Cancel', () => show()),
    ),
  );
}

/** Opens the phone's share sheet; downloads the file if the sheet accepts no files or if sharing fails. */
async function exportLog({ clock }: Session, csv: string): Promise<void> {
  const file = new File([csv], `boat-${clock.date}.csv`, { type: 'text/csv' });
  if (navigator.canShare?.({ files: [file] })) {
    try {
      return await navigator.share({ files: [file] });
    } catch (cause) {
      // The user closed the share sheet, which is not a failure.
      if ((cause as Error).name === 'AbortError') return;
    }
  }
  const address = URL.createObjectURL(file);
  element('a', { href: address, download: file.name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

/** Copies the log to the clipboard or, if the browser refuses, selects the text for copying by hand. */
async function copyLog(csv: string): Promise<string> {
  try {
    await navigator.clipboard.writeText(csv);
    return 'Copied.';
  } catch {
    const text = document.getElementById('log-text') as HTMLTextAreaElement | null;
    text?.focus();
    text?.select();
    return 'This browser does not let pages copy. The text is selected below: press and hold it, then choose Copy.';
  }
}
