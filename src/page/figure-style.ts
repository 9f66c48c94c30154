/**
 * Looks shared by all figures. Sides differ by hue, by line (solid, dashed), by symbol (filled, hollow) and by letter,
 * so that no meaning hangs on color. Hues keep apart for the common color deficiencies (blue against orange, plum);
 * text colors reach 4.5 : 1 on their ground in light and dark, cast lines 3 : 1 also where the ground is darkest.
 */
export const FIGURE_COLORS = `
:root,svg{--paper:#fbfaf7;--ink:#1d2226;--soft:#565c63;--line:#c9c6bd;--iso:#6b6078;--shallow:#fbfaf7;--tint:#6b6078;--deep:#0a5687;--shoal:#97410a;--fish:#7a2a66;--ground:#8d857a;--hatch:#a09a8f}
@media (prefers-color-scheme:dark){:root,svg{--paper:#15181b;--ink:#eceae4;--soft:#a9adb2;--line:#3a3f45;--iso:#b3a8c4;--shallow:#45414f;--tint:#000;--deep:#7cc0ee;--shoal:#f0a468;--fish:#dd9fcb;--ground:#8d857a;--hatch:#5d5a55}}
@media print{:root,svg{--paper:#fff;--ink:#000;--soft:#444;--line:#bbb;--iso:#5c5168;--shallow:#fff;--tint:#6b6078;--deep:#0a5687;--shoal:#97410a;--fish:#7a2a66;--ground:#8d857a;--hatch:#8a857c}}`.trim();

export const FIGURE_STYLE = `
.fig{font:11px/1.2 system-ui,sans-serif;fill:var(--ink);stroke-linejoin:round}
.fig text{paint-order:stroke;stroke:var(--paper);stroke-width:3px;stroke-linejoin:round}
.fig .soft{fill:var(--soft)}
.fig .bold{font-weight:600}
.fig .mid{text-anchor:middle}
.fig .end{text-anchor:end}
.fig .paper{fill:var(--paper)}
.fig .shallow{fill:var(--shallow)}
.fig .frame{fill:none;stroke:var(--soft);stroke-width:1}
.fig .iso path{fill:var(--tint);fill-opacity:.05;stroke:var(--iso);stroke-width:.9;stroke-opacity:.9}
.fig .iso text{font-size:9.5px;fill:var(--iso)}
.fig .band{fill:var(--fish);fill-opacity:.13}
.fig .hatch{fill:url(#ds-hatch);stroke:none}
.fig .hatch.far{fill:url(#ds-sparse)}
.fig .thin{stroke-opacity:.45}
.fig .spot-depths{font-size:9.5px}
.fig .snd{fill:none;stroke:var(--ink);stroke-opacity:.55;stroke-width:1.5;stroke-linecap:round}
.fig .D{--side:var(--deep)}
.fig .U{--side:var(--shoal)}
.fig .cast{fill:none;stroke:var(--side);stroke-width:1.5}
.fig .U .cast{stroke-dasharray:5 3}
.fig .rail{fill:none;stroke:var(--side);stroke-width:4}
.fig .own{fill:none;stroke:var(--side);stroke-width:1;stroke-dasharray:1.5 2.5}
.fig .boat{fill:var(--side);stroke:var(--side);stroke-width:1.3}
.fig .U .boat{fill:var(--paper)}
.fig .land{fill:var(--paper);stroke:var(--side);stroke-width:1.5}
.fig .side{fill:var(--side)}
.fig .next path{fill:none;stroke:var(--soft);stroke-width:1;stroke-dasharray:1 3;stroke-linecap:round}
.fig .next circle{fill:var(--paper);stroke:var(--soft)}
.fig .next text{font-size:9px;stroke:none}
.fig .mark{fill:none;stroke:var(--ink);stroke-width:1.5}
.fig .halo{fill:none;stroke:var(--paper);stroke-width:4}
.fig .ground{fill:var(--ground);fill-opacity:.22;stroke:none}
.fig .bottom{fill:none;stroke:var(--ink);stroke-width:1.6}
.fig .sd{fill:var(--ink);fill-opacity:.13;stroke:var(--soft);stroke-width:.6;stroke-dasharray:2 2}
.fig .water{stroke:var(--soft);stroke-width:1.2;fill:none}
.fig .grid{stroke:var(--line);stroke-width:.6;fill:none}
.fig .lure{fill:none;stroke:var(--side);stroke-width:1.5}
.fig .U .lure{stroke-dasharray:5 3}
.fig .touch{fill:none;stroke:var(--side);stroke-width:4.5;stroke-linecap:round}
.fig .fish{fill:var(--fish)}
.fig .edge{stroke:var(--fish);stroke-width:.9;stroke-dasharray:6 2 1 2}
.fig .pass{fill:none;stroke:var(--ink);stroke-opacity:.3;stroke-width:.5}
.fig .spot{fill:var(--ink);stroke:var(--paper);stroke-width:1.2}
.fig .spot.open{fill:var(--paper);stroke:var(--ink)}
.fig .spots text{font-weight:600;font-size:10px}
.fig .strokes{fill:none;stroke:var(--hatch);stroke-width:1}`.trim();

/** What figures refer to: the pattern of ground without soundings, the edge of the map. */
export const FIGURE_DEFS = [
  '<defs>',
  '<pattern id="ds-hatch" width="6" height="6" patternUnits="userSpaceOnUse"><path class="paper" d="M0 0H6V6H0Z"/><path class="strokes" d="M-1 1L1-1M0 6L6 0M5 7L7 5"/></pattern>',
  '<pattern id="ds-sparse" width="9" height="9" patternUnits="userSpaceOnUse"><path class="paper" d="M0 0H9V9H0Z"/><path class="strokes thin" d="M-1 1L1-1M0 9L9 0M8 10L10 8"/></pattern>',
  '<clipPath id="ds-frame"><path d="M0 0H360V360H0Z"/></clipPath>',
  '</defs>',
].join('');
