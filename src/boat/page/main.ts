import { formatClock } from '../../../shared/text/index.ts';
import { type BoatData, fromText } from '../boat-data.ts';
import { dayView } from './day-view.ts';
import { button, element } from './dom.ts';
import { Bottom } from './ground.ts';
import { LakeView } from './lake-view.ts';
import { logView, sizeWords } from './log-view.ts';
import { nextView, whereLines } from './next-view.ts';
import { Session } from './session.ts';
import { Store } from './store.ts';

const VIEWS = ['Next', 'Lake', 'Day', 'Log'] as const;
type View = (typeof VIEWS)[number];

/** ms between two looks at the clock. */
const TICK = 10_000;

class Page {
  private readonly session: Session;
  private readonly bottom: Bottom | undefined;
  private lake: LakeView | undefined;
  private view: View = 'Next';
  private readonly main = element('main', { id: 'view' });
  private readonly notices = element('div', { class: 'notices', 'aria-live': 'polite' });
  private readonly tabs = new Map<View, HTMLButtonElement>();
  private readonly cautions: HTMLElement;

  constructor(session: Session, cautions: HTMLElement) {
    this.session = session;
    this.cautions = cautions;
    const { depths, units } = session.data;
    this.bottom = depths === undefined ? undefined : new Bottom(depths, units);
    const nav = element('nav', { 'aria-label': 'Views' });
    for (const view of VIEWS) {
      const tab = button(view, () => this.open(view));
      this.tabs.set(view, tab);
      nav.append(tab);
    }
    document.body.replaceChildren(this.main, this.notices, nav);
    this.open('Next');
  }

  private open(view: View): void {
    this.view = view;
    for (const [name, tab] of this.tabs) {
      if (name === view) tab.setAttribute('aria-current', 'page');
      else tab.removeAttribute('aria-current');
    }
    document.body.dataset.view = view;
    this.show();
    this.main.scrollTop = 0;
  }

  show(): void {
    this.showNotices();
    if (this.view === 'Lake') this.showLake();
    else this.showText(this.view);
  }

  private showText(view: Exclude<View, 'Lake'>): void {
    const { scrollTop } = this.main;
    const content = { Next: nextView, Day: dayView, Log: logView }[view](this.session, this.bottom);
    if (view !== 'Next') content.append(this.cautions);
    this.main.replaceChildren(content);
    this.main.scrollTop = scrollTop;
    this.showWhere();
  }

  private showLake(): void {
    this.lake ??= new LakeView(this.session, this.bottom);
    if (this.main.firstChild !== this.lake.root) this.main.replaceChildren(this.lake.root);
    this.lake.map.redraw();
  }

  /** What changes with the position alone: nothing under a finger moves. */
  showWhere(): void {
    if (this.view === 'Lake') this.lake?.map.redraw();
    this.main.querySelector('.where')?.replaceChildren(...whereLines(this.session));
  }

  /** The clock went on. A form that is being filled in, or a map, is left alone. */
  tick(): void {
    if (this.view === 'Next') this.show();
    else this.showNotices();
  }

  set track(track: { lat: number; lon: number }[]) {
    this.lake ??= new LakeView(this.session, this.bottom);
    this.lake.map.track = track;
  }

  addTrack(place: { lat: number; lon: number }): void {
    if (this.lake !== undefined) this.lake.map.track = [...this.lake.map.track, place];
  }

  private showNotices(): void {
    const { storageProblem, hand, isPlanning, lastFish, data, clock } = this.session;
    const notes: HTMLElement[] = [];
    if (storageProblem !== undefined)
      notes.push(
        element(
          'p',
          { class: 'alarm', role: 'alert' },
          `What you tap is lost when this page closes: ${storageProblem}. Copy the log now and then (Log, Copy).`,
        ),
      );
    if (isPlanning) notes.push(element('p', {}, 'Planning the rest of the day ...'));
    if (lastFish !== undefined && this.view === 'Next') notes.push(this.fishNotice(lastFish.time));
    else if (hand.change !== undefined)
      notes.push(
        element(
          'div',
          {},
          element('p', {}, hand.change.text),
          element(
            'div',
            { class: 'small-taps' },
            button('Take it', () => this.session.answerChange(true)),
            button('Keep the old', () => this.session.answerChange(false)),
          ),
        ),
      );
    if (clock.date < data.date && this.session.entries.length === 0)
      notes.push(element('p', {}, `This plan is for ${data.date}; your phone says ${clock.date}.`));
    this.notices.replaceChildren(...notes);
  }

  /** A fish is stored already; its size, and another spot where that may be, can be told. */
  private fishNotice(time: number): HTMLElement {
    const { session } = this;
    const fish = session.lastFish!;
    const sizes = sizeWords(session).map((size) => button(size, () => session.save({ ...fish, size })));
    const near = session.nearestSpots().filter(({ name }) => name !== fish.mark);
    const places = near.map(({ name, sides }) =>
      button(`at ${name}`, () =>
        session.correctFish({ ...fish, mark: name, side: sides[0].side === 0 ? 'D' : 'U' }),
      ),
    );
    return element(
      'div',
      {},
      element(
        'p',
        {},
        `Fish stored ${formatClock(time)} at ${fish.mark} ${fish.side}.${near.length > 0 ? ' You are nearer other spots:' : ''}`,
      ),
      element(
        'div',
        { class: 'small-taps' },
        ...places,
        ...sizes,
        button('OK', () => session.dismissFish()),
        button('Undo', () => session.undo()),
      ),
    );
  }
}

async function start(): Promise<void> {
  const data = fromText<BoatData>(document.getElementById('boat-data')?.textContent ?? '');
  const cautions = document.getElementById('cautions') ?? element('div');
  let store: Store | undefined;
  let refusal: string | undefined;
  try {
    store = await Store.open(data.identity);
    void navigator.storage?.persist?.();
  } catch {
    refusal = 'the phone keeps nothing for this page';
  }
  let page: Page | undefined;
  const session = await Session.resume(data, store, refusal, () => page?.show());
  page = new Page(session, cautions);
  const track = await session.track();
  session.position.watch(
    () => page?.showWhere(),
    (place) => {
      page?.addTrack(place);
      void session.keep('track', place.time, { lat: place.lat, lon: place.lon, time: place.time });
    },
  );
  page.show();
  setInterval(() => {
    session.checkLate();
    page?.tick();
  }, TICK);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => page?.show());
  // When the phone has nothing else to do: the first plan in the hand is then as quick as the later ones.
  const whenIdle = globalThis.requestIdleCallback ?? ((act: () => void) => setTimeout(act, 1500));
  whenIdle(() => {
    session.warmUp();
    page!.track = track;
  });
}

void start();
