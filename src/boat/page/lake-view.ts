import { sideLetter } from '../../../shared/day/index.ts';
import { button, element, taps } from './dom.ts';
import { BoatMap } from './lake-map.ts';
import type { Degrees } from './position.ts';
import type { Session } from './session.ts';
import { planSketch } from './sketch.ts';
import { cardList, directionToBoat, markWords } from './words.ts';

/** The map with its buttons, and the card of the selected spot. A page keeps one view and updates it. */
export class LakeView {
  readonly root: HTMLElement;
  readonly map: BoatMap;
  private readonly session: Session;
  private readonly card = element('div', { class: 'sheet', hidden: true });
  private readonly hint = element('p', { class: 'hint', role: 'status' });
  private isPlacing = false;

  constructor(session: Session) {
    this.session = session;
    const map = element('div', { class: 'map', role: 'img', 'aria-label': 'Map of the lake, north up.' });
    this.map = new BoatMap(session, map, (spot, place) => this.tapped(spot, place));
    this.root = element(
      'section',
      { class: 'lake', 'aria-label': 'Lake' },
      map,
      this.hint,
      element(
        'div',
        { class: 'small-taps over' },
        button('Whole lake', () => this.map.showAll()),
        button('Me', () => this.showMe()),
        button('I am here', () => this.place()),
      ),
      this.card,
    );
    this.say();
  }

  private say(
    text = this.session.bottom === undefined
      ? 'No depths: this page was made without sonar logs.'
      : 'Hatched: not sounded. Not for navigation.',
  ): void {
    this.hint.textContent = text;
  }

  private showMe(): void {
    const place = this.session.position.now;
    if (place === undefined) this.say('No position yet: tap "I am here", then the map.');
    else this.map.showPlace(place);
  }

  private place(): void {
    this.isPlacing = true;
    this.say('Tap the map where the boat is.');
  }

  private tapped(spot: string | undefined, place: Degrees): void {
    if (this.isPlacing) {
      this.isPlacing = false;
      this.session.position.choose(place.lat, place.lon, 'tapped');
      this.say();
      return;
    }
    this.card.hidden = spot === undefined;
    if (spot !== undefined) this.showCard(spot);
  }

  private showCard(name: string): void {
    const { session } = this;
    const spot = session.planner.spot(name);
    if (spot === undefined) return;
    const [side] = spot.sides;
    const letter = sideLetter(side);
    const way = directionToBoat(session, spot, side);
    this.card.replaceChildren(
      element('h2', `${name} ${letter}`, element('small', ` ${markWords(session.mark(name))}`)),
      cardList(session, spot, side, planSketch(session, spot, side, 120)),
      ...(way === undefined ? [] : [element('p', way)]),
      taps(
        button('Start here', () => session.start(name, letter)),
        button('Go next', () => session.goTo({ mark: name, side: letter })),
        button('Close', () => {
          this.card.hidden = true;
        }),
      ),
    );
  }
}
