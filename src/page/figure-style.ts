/**
 * Colors shared by all figures. The deep and the shallow side differ by hue, line (solid, dashed), symbol
 * (filled, hollow) and letter, so that no meaning depends on color alone. The hues (blue, orange, plum) can
 * be told apart with common color vision deficiencies. Text has a contrast of at least 4.5 : 1 with its
 * background in light and dark mode. Neighboring depth tints from `t0` (shallow) to `t5` have a contrast of
 * at least 1.25 : 1. Isobaths have a contrast of at least 3 : 1 with every tint. Casts have that contrast
 * with the tints of a plan view, `t0` to `t4`.
 */
export const FIGURE_COLORS = `
:root,svg{--paper:#fbfaf7;--ink:#1d2226;--soft:#565c63;--line:#c9c6bd;--iso:#362e4c;--deep:#08466f;--shoal:#6e2c04;--fish:#6b1f58;--ground:#8d857a;--hatch:#a09a8f;--t0:#f5faff;--t1:#cae3fa;--t2:#b5cbe0;--t3:#a1b5c8;--t4:#8fa1b2;--t5:#7e8e9d}
@media (prefers-color-scheme:dark){:root,svg{--paper:#15181b;--ink:#eceae4;--soft:#a9adb2;--line:#3a3f45;--iso:#cfc6de;--deep:#9ad2fa;--shoal:#f9c69b;--fish:#eabbdc;--ground:#8d857a;--hatch:#5d5a55;--t0:#576573;--t1:#4a5662;--t2:#3d4752;--t3:#2f3841;--t4:#21272e;--t5:#0d1115}}
@media print{:root,svg{--paper:#fff;--ink:#000;--soft:#444;--line:#bbb;--iso:#362e4c;--deep:#08466f;--shoal:#6e2c04;--fish:#6b1f58;--ground:#8d857a;--hatch:#8a857c;--t0:#f5faff;--t1:#cae3fa;--t2:#b5cbe0;--t3:#a1b5c8;--t4:#8fa1b2;--t5:#7e8e9d}}`.trim();

/** Maximum number of tints in a plan view; casts on `t5` would have a contrast below 3 : 1 in light mode. */
export const PLAN_TINTS = 5;
/** Number of depth tints, from `t0`. */
export const FIGURE_TINTS = 6;

export const everyTint = (rule: (tint: number) => string): string =>
  Array.from({ length: FIGURE_TINTS }, (_, tint) => rule(tint)).join('\n');

export const FIGURE_STYLE = `
.fig{font:13px/1.2 system-ui,sans-serif;fill:var(--ink);stroke-linejoin:round}
.fig text{paint-order:stroke;stroke:var(--paper);stroke-width:3px;stroke-linejoin:round}
.fig .soft{fill:var(--soft)}
.fig .bold{font-weight:600}
.fig .mid{text-anchor:middle}
.fig .end{text-anchor:end}
.fig .paper{fill:var(--paper)}
.fig .frame{fill:none;stroke:var(--soft);stroke-width:1}
${everyTint((k) => `.fig .t${k}{fill:var(--t${k})}`)}
.fig .iso path{stroke:var(--iso);stroke-width:.7}
.fig .iso path:not([class]){fill:none}
.fig .iso path[class]{stroke-width:1.1}
.fig .iso text{fill:var(--iso)}
.fig .band{fill:var(--fish);fill-opacity:.1}
.fig .hatch{fill:url(#ds-hatch);stroke:none}
.fig .snd{fill:none;stroke:var(--ink);stroke-opacity:.55;stroke-width:1.5;stroke-linecap:round}
.fig .D{--side:var(--deep)}
.fig .U{--side:var(--shoal)}
.fig .cast,.fig .lure{fill:none;stroke:var(--side);stroke-width:1.5}
.fig .U .cast,.fig .U .lure{stroke-dasharray:5 3}
.fig .rail{fill:none;stroke:var(--side);stroke-width:4}
.fig .own{fill:none;stroke:var(--side);stroke-width:1;stroke-dasharray:1.5 2.5}
.fig .boat{fill:var(--side);stroke:var(--side);stroke-width:1.3}
.fig .U .boat{fill:var(--paper)}
.fig .land{fill:var(--paper);stroke:var(--side);stroke-width:1.5}
.fig .side{fill:var(--side)}
.fig .next path{fill:none;stroke:var(--soft);stroke-width:1;stroke-dasharray:1 3;stroke-linecap:round}
.fig .next circle{fill:var(--paper);stroke:var(--soft)}
.fig .next text{stroke:none}
.fig .mark{fill:none;stroke:var(--ink);stroke-width:1.5}
.fig .halo{fill:none;stroke:var(--paper);stroke-width:4}
.fig .ground{fill:var(--ground);fill-opacity:.22;stroke:none}
.fig .bottom{fill:none;stroke:var(--ink);stroke-width:1.6}
.fig .sd{fill:var(--ink);fill-opacity:.13;stroke:var(--soft);stroke-width:.6;stroke-dasharray:2 2}
.fig .water{stroke:var(--soft);stroke-width:1.2;fill:none}
.fig .grid{stroke:var(--line);stroke-width:.6;fill:none}
.fig .touch{fill:none;stroke:var(--side);stroke-width:4.5;stroke-linecap:round}
.fig .fish{fill:var(--fish)}
.fig .edge{stroke:var(--fish);stroke-width:.9;stroke-dasharray:6 2 1 2}
.fig .map path{vector-effect:non-scaling-stroke}
.fig .fix{transform:scale(var(--px,1))}
.fig .pass{fill:none;stroke:var(--ink);stroke-opacity:.22;stroke-width:.5}
.fig .blank{fill:var(--paper);stroke:var(--soft);stroke-width:1;stroke-dasharray:3 2}
.fig .form{fill:none;stroke:var(--ink);stroke-width:1.6;stroke-dasharray:1 3;stroke-linecap:round}
.fig .lip{fill:none;stroke:var(--shoal);stroke-width:2}
.fig .crest{fill:none;stroke:var(--fish);stroke-width:1.8;stroke-dasharray:7 2 1 2}
.fig .lip.guess,.fig .crest.guess{stroke-width:1.2;stroke-dasharray:2 4}
.fig .zone{fill:var(--shoal);fill-opacity:.16;stroke:var(--shoal);stroke-width:1.6;stroke-dasharray:6 3}
.fig .zone.closed{fill:url(#ds-hatch);fill-opacity:1;stroke-dasharray:none}
.fig .casing{fill:none;stroke:var(--paper);stroke-width:5}
.fig .route{fill:none;stroke:var(--deep);stroke-width:2.2}
.fig .spot{fill:var(--ink);stroke:var(--paper);stroke-width:1.2}
.fig .spot.open{fill:var(--paper);stroke:var(--ink)}
.fig .stop-no{fill:var(--deep);stroke:var(--paper);stroke-width:1.5}
.fig .stop-no+text{fill:var(--paper);stroke:none;font-weight:700}
.fig .ramp{fill:var(--paper);stroke:var(--ink);stroke-width:1.8}
.fig .names text{font-weight:600}
.fig .n1,.fig .n2,.fig .n3,.fig .n4{display:none}
.fig [data-level~="1"] .n1,.fig [data-level~="2"] .n2,.fig [data-level~="3"] .n3,.fig [data-level~="4"] .n4{display:inline}
.fig .strokes{fill:none;stroke:var(--hatch);stroke-width:1}`.trim();

/** Definitions that figures refer to: hatches, and the clip path of plan views. */
export const FIGURE_DEFS = [
  '<defs>',
  '<pattern id="ds-hatch" width="6" height="6" patternUnits="userSpaceOnUse"><path class="paper" d="M0 0H6V6H0Z"/><path class="strokes" d="M-1 1L1-1M0 6L6 0M5 7L7 5"/></pattern>',
  '<clipPath id="ds-frame"><path d="M0 0H360V360H0Z"/></clipPath>',
  '</defs>',
].join('');
