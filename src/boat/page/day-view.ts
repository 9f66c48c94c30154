import { groupBy } from 'es-toolkit';
import {
  type DayPlan,
  type FishingSpot,
  type LeftOut,
  outlookText,
  type PlannedStop,
  patternLineText,
  runText,
  type SpotSide,
  sideLetter,
  stopName,
} from '../../../shared/day/index.ts';
import { formatClock } from '../../../shared/text/index.ts';
import { sideOf } from '../current-plan.ts';
import { wishesOf } from '../entries.ts';
import { button, element, rowList, taps } from './dom.ts';
import type { Session } from './session.ts';
import { cardFacts, rankedSpots } from './words.ts';

export const dayView = (session: Session): HTMLElement =>
  element(
    'section',
    { class: 'day', 'aria-label': 'Day' },
    ...(session.hand.plan === undefined ? spotParts(session) : planParts(session, session.hand.plan)),
  );

const spotParts = (session: Session): HTMLElement[] => [
  element('h1', session.data.title),
  element('p', 'No plan on this page. The spots with the best casts come first.'),
  rowList('ol', rankedSpots(session), (spot) => spotRow(session, spot)),
];

function planParts(session: Session, plan: DayPlan): HTMLElement[] {
  const { hand, data, stops, clock } = session;
  const { units } = data;
  const fished = stops.filter(({ date }) => date === clock.date).length;
  return [
    element('h1', `Day ${plan.date}`),
    element(
      'p',
      `${countOf(hand.coming.length)} to come, back at ${formatClock(plan.back)}, check-in ${formatClock(plan.checkIn)}.`,
    ),
    rowList('ol', hand.coming, (stop) => stopRow(session, stop)),
    ...part('If the spots are as good as the plan assumes', [outlookText(plan, units)]),
    ...part('Rods to rig', rods(hand.coming)),
    ...part('Resting', resting(session)),
    ...part(
      'What the log taught',
      plan.pattern.map((line) => patternLineText(line, units)),
    ),
    ...part('Warnings', hand.problems ?? []),
    ...(fished === 0 ? [] : [element('p', `${countOf(fished)} fished: see Log.`)]),
    element('h2', `Left out (${plan.leftOut.length})`),
    rowList('ul', plan.leftOut, (left) => leftRow(session, left)),
  ];
}

const part = (title: string, lines: readonly string[]): HTMLElement[] =>
  lines.length === 0 ? [] : [element('h2', title), rowList('ul', lines, (line) => element('li', line))];

function stopRow(session: Session, stop: PlannedStop): HTMLElement {
  const { name } = stop.spot;
  const wish = wishesOf(session.entries).get(name) ?? stop.spot.note.wish;
  const isPinned = wish === 'must' || wish === 'first';
  const times = `${formatClock(stop.begin)} to ${formatClock(stop.leave)}`;
  const facts = factText(session, stop.spot, stop.side);
  return element(
    'li',
    element('h2', `${stopName(stop)} `, element('span', times)),
    element('p', `Leave by ${formatClock(stop.latestLeave)}, run ${runText(stop.run)}: ${facts}.`),
    taps(
      button(isPinned ? 'Unpin' : 'Pin', () => session.wish(name, isPinned ? 'none' : 'must')),
      button(wish === 'last' ? 'Not last' : 'Last', () =>
        session.wish(name, wish === 'last' ? 'none' : 'last'),
      ),
      button('Skip', () => session.wish(name, 'skip')),
      startButton(session, name, stop.side),
    ),
  );
}

const spotRow = (session: Session, spot: FishingSpot): HTMLElement =>
  element(
    'li',
    element('h2', spot.name),
    element('p', factText(session, spot, spot.sides[0])),
    taps(startButton(session, spot.name, spot.sides[0])),
  );

const factText = ({ data }: Session, spot: FishingSpot, side: SpotSide): string =>
  cardFacts(spot, side, data.units)
    .map(([fact, text]) => `${fact.toLowerCase()} ${text}`)
    .join(', ');

const startButton = (session: Session, name: string, side: SpotSide): HTMLButtonElement =>
  button('Start here', () => session.start(name, sideLetter(side)));

function leftRow(session: Session, { name, why }: LeftOut): HTMLElement {
  const spot = session.planner.spot(name);
  const isSkipped = wishesOf(session.entries).get(name) === 'skip';
  const act = isSkipped
    ? button('Take back', () => session.wish(name, 'none'))
    : button('Pin', () => session.wish(name, 'must'));
  return element(
    'li',
    element('p', element('b', name), `: ${why}`),
    spot && taps(act, startButton(session, name, sideOf(spot, 'D'))),
  );
}

const countOf = (stops: number): string => (stops === 1 ? '1 stop' : `${stops} stops`);

/** Lists the lures by how many stops need them: `16 ft diver: 4 stops, first K1 D 07:12`. */
const rods = (coming: readonly PlannedStop[]): string[] =>
  Object.entries(groupBy(coming, ({ spot }) => spot.lure ?? ''))
    .filter(([lure]) => lure !== '')
    .sort(([, a], [, b]) => b.length - a.length)
    .map(([lure, stops]) => {
      return `${lure}: ${countOf(stops.length)}, first ${stopName(stops[0])} ${formatClock(stops[0].begin)}`;
    });

const resting = ({ stops, data, clock }: Session): string[] =>
  stops.flatMap(({ date, mark, side, end = -Infinity }) => {
    const until = end + data.options.rest;
    return date !== clock.date || until <= clock.time ? [] : [`${mark} ${side} until ${formatClock(until)}`];
  });
