import { sideLetter } from '../../../shared/day/index.ts';
import { formatClock } from '../../../shared/text/index.ts';
import type { Entry } from '../entries.ts';
import { button, element, taps } from './dom.ts';
import { sizeWords } from './log-view.ts';
import type { Session } from './session.ts';

/**
 * Lists the notices of a view: storage problems, a plan being made, a fish just entered, what a new plan
 * changed, and, until the first entry, that the phone's date is before the plan's. A fish is shown only on
 * Next, in place of changes. Changes are shown on Next and Day.
 */
export function noticesOf(session: Session, view: string): HTMLElement[] {
  const { kept, hand, replanning, lastFish, data, clock } = session;
  const notes: HTMLElement[] = [];
  if (kept.problem !== undefined)
    notes.push(
      element(
        'p',
        { class: 'alarm', role: 'alert' },
        `What you tap is lost when this page closes: ${kept.problem}. Copy the log now and then (Log, Copy).`,
      ),
    );
  if (replanning.isUnderWay) notes.push(element('p', 'Planning the rest of the day ...'));
  if (lastFish !== undefined && view === 'Next') notes.push(fishNotice(session, lastFish));
  else if (hand.change !== undefined && (view === 'Next' || view === 'Day'))
    notes.push(
      element(
        'div',
        element('p', hand.change.text),
        taps(
          button('Take it', () => session.answerChange(true)),
          button('Keep the old', () => session.answerChange(false)),
        ),
      ),
    );
  if (clock.date < data.date && session.entries.length === 0)
    notes.push(element('p', `This plan is for ${data.date}; your phone says ${clock.date}.`));
  return notes;
}

function fishNotice(session: Session, fish: Entry): HTMLElement {
  const sizes = sizeWords(session).map((size) => button(size, () => session.save({ ...fish, size })));
  const near = session.nearestSpots().filter(({ name }) => name !== fish.mark);
  const places = near.map(({ name, sides }) =>
    button(`at ${name}`, () => session.correctFish({ ...fish, mark: name, side: sideLetter(sides[0]) })),
  );
  const nearer = near.length > 0 ? ' You are nearer to another spot:' : '';
  return element(
    'div',
    element('p', `Fish stored ${formatClock(fish.time)} at ${fish.mark} ${fish.side}.${nearer}`),
    taps(
      ...places,
      ...sizes,
      button('OK', () => session.dismissFish()),
      button('Undo', () => session.undo()),
    ),
  );
}
