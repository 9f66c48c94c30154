import type { DisplayUnits } from '../../shared/contract/index.ts';
import type { SideLetter } from '../../shared/day/index.ts';
import { HULL, LANDING, MARK } from './figure-root.ts';

const castSign = (letter: SideLetter): string =>
  `<g class="${letter}"><path class="cast" d="M4 11H44"/><path class="boat" transform="translate(11 11)rotate(90)" d="${HULL}"/><path class="land" transform="translate(42 11)" d="${LANDING}"/></g>`;

/** Signs used in the figures, with their meaning. */
const SIGNS: readonly (readonly [drawing: string, words: string])[] = [
  [`<path class="mark" transform="translate(24 11)" d="${MARK}"/>`, 'The mark: your waypoint.'],
  [castSign('D'), 'D, solid: boat on the deep side, its cast and the landing (diamond).'],
  [
    castSign('U'),
    'U, hollow and dashed: boat and cast on the shallow side or, on a top, on the deep side across from D.',
  ],
  [
    '<g class="D"><path class="cast" d="M4 9H44"/><path class="rail" d="M14 14H34"/></g>',
    'Thick bar: here the lure is expected on bottom.',
  ],
  [
    '<path class="band" d="M2 4H46V18H2Z"/><path class="edge" fill="none" d="M2 4H46M2 18H46"/>',
    'Fish: bottom or water between the two planned depths (dash-dot edges).',
  ],
  [
    '<g class="iso"><path d="M2 18C16 4 30 20 46 5"/></g>',
    'Contour, with its depth; deeper ground is darker.',
  ],
  ['<g class="D"><path class="own" d="M2 18C16 4 30 20 46 5"/></g>', 'Dotted: the contour the boat sits on.'],
  [
    '<path class="snd" d="M4 16h0M10 14h0M16 13h0M22 11h0M28 10h0M34 8h0M40 7h0"/>',
    'Dots: depths logged along a pass.',
  ],
  [
    '<path class="hatch" d="M2 2H46V20H2Z"/><path class="frame" d="M2 2H46V20H2Z"/>',
    'Hatched: not sounded, so nothing is shown.',
  ],
  [
    '<path class="sd" d="M2 6C16 2 32 10 46 5V16C32 20 16 12 2 17Z"/><path class="bottom" d="M2 11C16 7 32 15 46 10"/>',
    'The bottom, and the band it lies in 19 times in 20.',
  ],
  [
    '<g class="next"><path d="M10 11H46"/><circle cx="9" cy="11" r="6.5"/><text class="mid" x="9" y="14.2">1</text></g>',
    'Numbered: next angles, when the fish stop biting.',
  ],
  [
    '<g class="spots"><circle class="spot" cx="14" cy="11" r="4"/><circle class="spot open" cx="34" cy="11" r="4"/></g>',
    'On the map of the lake: a spot with a cast; hollow, a spot without one. Thin lines are passes.',
  ],
  [
    '<g class="D"><path class="lure" d="M4 4L20 16"/><path class="touch" d="M20 16L42 18"/></g>',
    'From the side: the path of the lure, thick where it is on bottom.',
  ],
  [
    '<g class="U"><text class="mid side" x="24" y="16" font-size="15">\u26a0\ufe0e</text></g>',
    'In the list: this spot has a warning in its notes.',
  ],
];

export function readingGuide(units: DisplayUnits): string {
  const signs = SIGNS.map(
    ([drawing, words]) =>
      `<div><svg class="fig" viewBox="0 0 48 22" aria-hidden="true">${drawing}</svg><span>${words}</span></div>`,
  );
  return [
    '<section aria-labelledby="reading"><h2 id="reading">How to read the figures</h2>',
    `<div class="reading">${signs.join('')}</div>`,
    `<p class="soft">Depths are in ${units === 'ft' ? 'feet, casts in yards' : 'meters'}. A number with \u00b1 is a model's answer and its standard deviation: two times in three the truth lies that close, 19 times in 20 within twice that. `,
    `A percentage says how sure the tool is of a structure. On bottom means within ${units === 'ft' ? '1 ft' : '0.3 m'} of it, so the depths given for it may begin a little above the line of the bottom. The length given for it is the mean of casts a little longer, shorter and deeper than the one drawn. Plan views are true to scale and drawn to true north; a bearing with M is magnetic. Side views say by how much heights are stretched.</p>`,
    '</section>',
  ].join('');
}
