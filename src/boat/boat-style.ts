import { INKS } from './colors.ts';

/**
 * CSS of the boat page: one screen, large type, black on white or white on black for reading in the sun, and
 * buttons for wet thumbs along the lower edge.
 */
export const BOAT_STYLE = `
:root{color-scheme:light dark;--paper:#fff;--ink:#000;--soft:#333;--line:#767676;--main:#003a70;--on-main:#fff;--alarm:#8c0000;--panel:#eef1f4;--hatch:${INKS.light.hatch}}
@media (prefers-color-scheme:dark){:root{--paper:#000;--ink:#fff;--soft:#d6d6d6;--line:#8f8f8f;--main:#9fd0ff;--on-main:#000;--alarm:#ffb3ad;--panel:#1b1f23;--hatch:${INKS.dark.hatch}}}
*{box-sizing:border-box}
a,b,span,strong,em,small,label,button,summary,option{unicode-bidi:isolate}
html{height:100%;-webkit-text-size-adjust:100%}
body{margin:0;height:100%;display:flex;flex-direction:column;background:var(--paper);color:var(--ink);font:16px/1.3 system-ui,sans-serif;overflow:hidden;overflow-wrap:anywhere;touch-action:manipulation}
main{flex:1;min-height:0;overflow-y:auto;padding:0 10px}
p{margin:.2em 0}
h1{font-size:20px;line-height:1.2;margin:8px 0 4px}
h2{font-size:18px;line-height:1.25;margin:12px 0 2px}
h1 small,h2 small{font-size:16px;font-weight:400}
button,select,input,textarea{font:inherit;color:inherit}
button{min-height:48px;min-width:48px;padding:4px 10px;border:2px solid var(--ink);border-radius:8px;background:var(--paper);font-weight:650;line-height:1.1}
button[aria-busy]{background:var(--ink);color:var(--paper)}
button[disabled]{color:var(--soft);border:2px dashed var(--line)}
button:focus-visible,select:focus-visible,input:focus-visible,textarea:focus-visible{outline:4px solid var(--main);outline-offset:1px}
nav{display:grid;grid-template-columns:repeat(4,1fr);border-top:2px solid var(--ink)}
nav button{border:0;border-radius:0;min-height:48px}
nav button[aria-current]{background:var(--ink);color:var(--paper)}
dl{display:grid;grid-template-columns:1fr;margin:0;font-size:20px;line-height:1.12}
dt{font-size:16px;color:var(--soft)}
dd{margin:0 0 4px;font-weight:700}
.card{max-width:560px;display:grid;grid-template-columns:minmax(0,1fr) auto;gap:0 8px;align-items:start}
.sketch{border:1px solid var(--line);border-radius:6px;display:block}
.next{display:flex;flex-direction:column;min-height:100%}
.next h1{font-size:26px;margin:4px 0}
.next .state{display:inline-block;font-size:16px;vertical-align:4px;padding:0 6px;border-radius:5px;background:var(--ink);color:var(--paper)}
.next .way{font-weight:700;font-size:18px}
.next .when{font-size:18px}
.next .known,.next .soft{color:var(--soft)}
.next .late,.alarm{color:var(--alarm);font-weight:700}
.taps{display:grid;grid-template-columns:repeat(4,minmax(0,1fr));gap:6px;margin:auto 0 6px;padding-top:4px}
.taps button{min-height:64px;padding:2px;overflow-wrap:normal}
.taps .main{background:var(--main);color:var(--on-main);border-color:var(--main)}
.small-taps{display:flex;flex-wrap:wrap;gap:6px;margin:6px 0}
.choose{display:grid;grid-template-columns:repeat(auto-fill,minmax(88px,1fr));gap:6px;margin-bottom:10px}
.notices{z-index:2}
[data-view=Next] .notices{position:fixed;left:0;right:0;bottom:122px}
[data-view=Lake] .notices{position:fixed;left:0;right:0;bottom:50px}
.notices>*{margin:6px;padding:6px 10px;background:var(--panel);color:var(--ink);border:2px solid var(--ink);border-radius:8px;font-size:16px}
.notices>.alarm{color:var(--alarm);border-color:var(--alarm)}
.rows{list-style:none;margin:0;padding:0}
.rows>li{border-top:1px solid var(--line);padding:4px 0}
.rows h2{margin:2px 0}
.rows h2 span{font-weight:400}
.log .rows>li:not(:has(.form)){display:grid;grid-template-columns:minmax(0,1fr) auto;gap:8px;align-items:center}
.form{display:grid;gap:6px;padding:6px 0}
label{display:grid;grid-template-columns:5em minmax(0,1fr);align-items:center;gap:6px}
select,input{min-height:48px;width:100%;padding:4px 8px;border:2px solid var(--ink);border-radius:8px;background:var(--paper)}
textarea{width:100%;border:1px solid var(--line);border-radius:6px;background:var(--paper)}
.lake{position:absolute;inset:0 0 50px;overflow:hidden}
.map{position:absolute;inset:0;overflow:hidden;background:repeating-linear-gradient(135deg,var(--hatch) 0 1px,var(--paper) 1px 6.36px);touch-action:none}
.map *{pointer-events:none}
.map .moved{position:absolute;left:0;top:0;transform-origin:0 0;will-change:transform}
.map canvas{position:absolute}
.map .bar{left:0;bottom:0}
.hint{position:relative;margin:0;padding:3px 10px;background:var(--paper)}
.over{position:relative;padding:0 6px;pointer-events:none}
.over button{pointer-events:auto}
.sheet{position:absolute;left:0;right:0;bottom:0;padding:2px 10px;background:var(--paper);border-top:2px solid var(--ink)}
.sheet dl{grid-template-columns:auto minmax(0,1fr);gap:0 8px;font-size:18px}
.sheet dd{margin:0}
.cautions{margin:14px 0;padding:4px 10px;border-left:4px solid var(--ink)}
.cautions ul{margin:0;padding-left:1.1em}
`.trim();
