import {
  type FishingSpot,
  minutesOf,
  placeText,
  runText,
  sideLetter,
  stopName,
} from '../../../shared/day/index.ts';
import { formatClock, proposalIn } from '../../../shared/text/index.ts';
import { latestArrival, sideOf } from '../current-plan.ts';
import { button, element } from './dom.ts';
import type { Session } from './session.ts';
import { planSketch } from './sketch.ts';
import { boatDistanceText, cardList, directionToBoat, markWords, rankedSpots } from './words.ts';

/** Size of the plan view, px: half the width of a small phone. */
const SKETCH = 176;

/** Builds the view of the stop that is being fished or comes next. */
export function nextView(session: Session): HTMLElement {
  const { current } = session;
  if (current === undefined) return nothingNext(session);
  const { spot, isFishing } = current;
  const side = sideOf(spot, current.side);
  const mark = session.mark(spot.name);
  const what = (mark && proposalIn(mark.waypoint)) ?? mark?.fields.structure ?? markWords(mark);
  const angle = isFishing ? session.open?.angles.at(-1) : undefined;
  return element(
    'section',
    { class: 'next', 'aria-label': 'Next' },
    element(
      'h1',
      element('span', { class: 'state' }, isFishing ? 'Fishing' : 'Next'),
      ` ${spot.name} ${current.side}`,
      element('small', ` ${what}`),
    ),
    cardList(session, spot, side, planSketch(session, spot, side, SKETCH)),
    angle === undefined ? undefined : element('p', { class: 'angle' }, `Now: ${angle}`),
    element('div', { class: 'live' }, ...liveLines(session)),
    element('p', { class: 'soft' }, 'Not for navigation. Keep a lookout.'),
    buttons(session, isFishing),
  );
}

/** Builds the lines that depend on position and clock. */
export function liveLines(session: Session): HTMLElement[] {
  const { current } = session;
  const known = element(
    'p',
    { class: 'known' },
    session.position.text((meters) => boatDistanceText(meters, session.data.units)),
  );
  if (current === undefined) return [known];
  const way = directionToBoat(session, current.spot, sideOf(current.spot, current.side));
  return [
    ...(way === undefined ? [] : [element('p', { class: 'way' }, way)]),
    known,
    element('p', { class: 'when' }, ...whenText(session)),
    element('p', { class: 'then' }, thenText(session)),
  ];
}

function whenText(session: Session): (string | HTMLElement)[] {
  const { leaveTimes, hand, clock } = session;
  const bold = (time: number): HTMLElement => element('b', formatClock(time));
  if (leaveTimes !== undefined) {
    const { leave, latest, giveUp } = leaveTimes;
    if (clock.time > (latest ?? Infinity)) return [element('b', { class: 'late' }, 'Late: leave now')];
    return [
      'Leave ',
      bold(leave),
      ...(latest === undefined
        ? []
        : [latest - leave < 60 ? ', no later' : `, latest ${formatClock(latest)}`]),
      ...(giveUp < leave ? [`; no bite by ${formatClock(giveUp)}: go`] : []),
    ];
  }
  const next = hand.coming[0];
  if (next === undefined || hand.target !== undefined) return ['Tap Start when you begin to fish'];
  const late = minutesOf(clock.time - next.arrive);
  if (late > 0)
    return [
      `Planned for ${formatClock(next.arrive)}, ${agoText(late)} ago: there by `,
      bold(latestArrival(next)),
    ];
  const wait = next.begin > next.arrive + 60 ? `, fish from ${formatClock(next.begin)}` : '';
  return ['There by ', bold(next.arrive), `${wait}, leave ${formatClock(next.leave)}`];
}

function thenText(session: Session): string {
  const { hand, open, checkIn, clock } = session;
  const left =
    checkIn === undefined ? '' : `Check-in ${formatClock(checkIn)}, ${leftText(checkIn - clock.time)}`;
  const next = hand.coming[open === undefined && hand.target === undefined ? 1 : 0];
  if (next !== undefined) return `Then ${stopName(next)}, ${runText(next.run)}. ${left}`;
  const { plan } = hand;
  return plan === undefined ? left : `Then ${plan.end.name}, ${minutesOf(plan.home.seconds)} min. ${left}`;
}

function leftText(seconds: number): string {
  if (seconds < 0) return 'past';
  const minutes = Math.floor(seconds / 60);
  return minutes < 60 ? `in ${minutes} min` : `in ${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}

function buttons(session: Session, isFishing: boolean): HTMLElement {
  const { current, open } = session;
  const [name, side] = [current?.spot.name ?? '', current?.side ?? 'D'];
  const tries = current === undefined ? 0 : session.anglesOf(current.spot, side).length;
  const isLast = (open?.angles.length ?? 0) >= tries;
  const caught = open === undefined || open.fish === 0 ? 'Fish' : `Fish (${open.fish})`;
  return element(
    'div',
    { class: 'taps' },
    button(caught, () => session.fish(), { class: 'main' }),
    button('Missed', () => session.missed()),
    isFishing
      ? button('Next angle', () => session.nextAngle(), { disabled: isLast })
      : session.hand.plan === undefined
        ? button('Other spot', () => session.goTo(undefined))
        : button('Skip', () => session.wish(name, 'skip')),
    isFishing ? button('Leave', () => session.leave()) : button('Start', () => session.start(name, side)),
  );
}

/**
 * Builds the view when there is no current or next stop: the reason or, on a page without a plan, the spots
 * to choose from.
 */
function nothingNext(session: Session): HTMLElement {
  const { plan, problems = [] } = session.hand;
  const choose = (spot: FishingSpot): HTMLElement =>
    button(spot.name, () => session.goTo({ mark: spot.name, side: sideLetter(spot.sides[0]) }));
  const parts =
    plan === undefined
      ? [
          element('h1', 'Choose a spot'),
          element('p', 'No plan on this page. Tap a spot to see its cast.'),
          element('div', { class: 'choose' }, ...rankedSpots(session).map(choose)),
        ]
      : [
          element('h1', `Back to ${placeText(plan.end)}`),
          element('p', `No stop is left that fits before the check-in at ${formatClock(plan.checkIn)}.`),
          ...problems.map((text) => element('p', text)),
        ];
  const live = element('div', { class: 'live' }, ...liveLines(session));
  return element('section', { class: 'next', 'aria-label': 'Next' }, ...parts, live);
}

const agoText = (minutes: number): string =>
  minutes < 120 ? `${minutes} min` : `${Math.round(minutes / 60)} h`;
