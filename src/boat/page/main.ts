import { type BoatData, fromText } from '../boat-data.ts';
import { dayView } from './day-view.ts';
import { button, element } from './dom.ts';
import { LakeView } from './lake-view.ts';
import { logView } from './log-view.ts';
import { liveLines, nextView } from './next-view.ts';
import { noticesOf } from './notices.ts';
import { Session } from './session.ts';
import { SessionStore } from './session-store.ts';

const VIEWS = ['Next', 'Lake', 'Day', 'Log'] as const;
type View = (typeof VIEWS)[number];

/** Interval of the clock, ms. */
const TICK = 10_000;

/** Number of plans made and discarded so that the JavaScript engine optimizes the code; judgment. */
const WARM_UPS = 3;

/** Delay after lifting a finger before the page may be redrawn, ms, so that the click event comes first. */
const AFTER_CLICK = 60;

class Page {
  private readonly session: Session;
  private lake: LakeView | undefined;
  private view: View = 'Next';
  private isPressed = false;
  private isStale = false;
  private readonly main = element('main', { id: 'view' });
  private readonly notices = element('div', { class: 'notices', 'aria-live': 'polite' });
  private readonly tabs = VIEWS.map((view) => button(view, () => this.open(view)));
  private readonly cautions: HTMLElement;

  constructor(session: Session, cautions: HTMLElement) {
    this.session = session;
    this.cautions = cautions;
    const nav = element('nav', { 'aria-label': 'Views' }, ...this.tabs);
    addEventListener('pointerdown', () => this.press(true), true);
    // From the click on, the handler of the tap may redraw the page at once.
    addEventListener(
      'click',
      () => {
        this.isPressed = false;
      },
      true,
    );
    for (const end of ['pointerup', 'pointercancel'] as const)
      addEventListener(end, () => setTimeout(() => this.press(false), AFTER_CLICK), true);
    document.body.replaceChildren(this.main, this.notices, nav);
    this.open('Next');
  }

  private press(isPressed: boolean): void {
    this.isPressed = isPressed;
    if (!isPressed && this.isStale) this.show();
  }

  private open(view: View): void {
    this.view = view;
    for (const tab of this.tabs) tab.ariaCurrent = tab.textContent === view ? 'page' : null;
    document.body.dataset.view = view;
    this.show();
    this.main.scrollTop = 0;
  }

  /** Redraws the view, but waits while a finger is down: a button replaced then would miss the tap. */
  show(): void {
    this.isStale = this.isPressed;
    if (this.isPressed) return;
    this.notices.replaceChildren(...noticesOf(this.session, this.view));
    if (this.view === 'Lake') this.showLake();
    else this.showText(this.view);
  }

  private showText(view: Exclude<View, 'Lake'>): void {
    const { scrollTop } = this.main;
    const content = { Next: nextView, Day: dayView, Log: logView }[view](this.session);
    if (view !== 'Next') content.append(this.cautions);
    this.main.replaceChildren(content);
    this.main.scrollTop = scrollTop;
  }

  lakeView(): LakeView {
    this.lake ??= new LakeView(this.session);
    return this.lake;
  }

  private showLake(): void {
    const { root, map } = this.lakeView();
    if (this.main.firstChild !== root) this.main.replaceChildren(root);
    map.redraw();
  }

  /** Updates only what depends on position and clock, so that no button under a finger is replaced. */
  showLive(): void {
    if (this.view === 'Lake') this.lake?.map.redraw();
    this.main.querySelector('.live')?.replaceChildren(...liveLines(this.session));
  }

  /** Updates live lines, map and notices at each tick of the clock, but no form that is being filled in. */
  tick(): void {
    this.showLive();
    if (!this.isPressed) this.notices.replaceChildren(...noticesOf(this.session, this.view));
  }
}

async function start(): Promise<void> {
  const data = fromText<BoatData>(document.getElementById('boat-data')?.textContent ?? '');
  const cautions = document.getElementById('cautions') ?? element('div');
  let page: Page | undefined;
  const show = (): void => page?.show();
  const kept = new SessionStore(data.identity, show);
  await kept.open();
  const session = new Session(data, kept, show);
  await session.resume();
  page = new Page(session, cautions);
  performance.mark('opened');
  session.track = await kept.all('track');
  session.position.watch(() => {
    page?.showLive();
    void session.trackBoat();
  });
  page.show();
  setInterval(() => {
    session.replanning.checkLate();
    page?.tick();
  }, TICK);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => page?.show());
  const whenIdle = globalThis.requestIdleCallback ?? ((act: () => void) => setTimeout(act, 1500));
  const warmUp = (times: number): void => {
    if (times > 0 && session.replanning.warmUp()) whenIdle(() => warmUp(times - 1));
  };
  whenIdle(() => {
    page!.lakeView();
    whenIdle(() => warmUp(WARM_UPS));
  });
}

void start();
