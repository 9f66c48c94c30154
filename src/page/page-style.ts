import { everyTint } from './figure-style.ts';

/** Style of the page around the figures, for narrow and wide screens, light and dark mode, and print. */
export const PAGE_STYLE = `
:root{color-scheme:light dark}
*{box-sizing:border-box}
a,b,span,strong,em,small,label,button,summary,option,text,tspan{unicode-bidi:isolate}
html{-webkit-text-size-adjust:100%}
body{margin:0;background:var(--paper);color:var(--ink);font:16px/1.5 system-ui,sans-serif;overflow-wrap:anywhere}
main,.top{max-width:72rem;margin:0 auto;padding:0 1rem}
.top{padding-top:1.6rem}
h1{font-size:1.9rem;line-height:1.2;margin:0;font-weight:650;letter-spacing:-.01em}
h2{font-size:1.25rem;margin:2.4rem 0 .6rem;padding-top:.5rem;border-top:2px solid var(--ink)}
h3{font-size:1.3rem;margin:0;line-height:1.25}
h4{font-size:.82rem;margin:1rem 0 .35rem;color:var(--soft);font-weight:600;letter-spacing:.01em}
p{margin:.4rem 0}
a{color:inherit;text-decoration-thickness:1px;text-underline-offset:.15em}
a:focus-visible,button:focus-visible,select:focus-visible,input:focus-visible,summary:focus-visible{outline:3px solid var(--deep);outline-offset:2px}
p.soft{color:var(--soft);font-size:.88rem}
.lead{color:var(--soft);margin:.3rem 0 .2rem}
nav.jump{margin:.4rem 0 0;display:flex;flex-wrap:wrap;gap:0 1.2rem;font-size:.95rem}
nav.jump a{padding:.3rem 0}
.unseen{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}
.skip{position:absolute;left:-99rem}.skip:focus{left:1rem;top:.5rem;background:var(--paper);padding:.3rem .6rem;z-index:1}
figure{margin:0}
svg.fig{display:block;width:100%;height:auto;overflow:visible}
.cautions{border-left:4px solid var(--ink);padding:.2rem 0 .2rem .7rem;margin:.6rem 0;font-size:.9rem}
.cautions ul{margin:.3rem 0;padding-left:1.1rem}
.overview{max-width:60rem;position:relative;--px:.8}
.overview .map{overflow:hidden;touch-action:pan-y}
.overview.zoomed .map{touch-action:none;cursor:grab}
.map-tools{display:flex;gap:.3rem;align-items:center;font-size:.85rem;color:var(--soft)}
.map-tools button{font:600 1rem system-ui,sans-serif;min-width:2.75rem;min-height:2.75rem;padding:0 .6rem;color:var(--ink);background:var(--paper);border:1.5px solid var(--ink);border-radius:6px;cursor:pointer}
.legend{font-size:.85rem;margin:.3rem 0;display:flex;flex-wrap:wrap;align-items:center;gap:.3rem .4rem}
.chip{padding:.1rem .5rem;border:1px solid var(--soft)}
${everyTint((k) => `.chip.t${k}{background:var(--t${k})}`)}
.pill{display:inline-block;min-width:1.5em;padding:0 .4em;border-radius:1em;text-align:center;color:var(--paper);background:var(--deep)}
.aside{margin:.2rem 0;padding-left:1.2rem;font-size:.95rem;columns:2 16rem}
.controls{display:flex;flex-wrap:wrap;gap:.5rem .9rem;align-items:end;margin:.6rem 0}
.controls label{display:grid;font-size:.78rem;color:var(--soft)}
.controls .tick{display:block;font-size:.9rem;padding-bottom:.4rem}
.controls select,.controls input[type=search]{font:inherit;font-size:.95rem;color:var(--ink);background:var(--paper);border:1px solid var(--soft);border-radius:3px;padding:.35rem .4rem;min-height:2.3rem;max-width:11rem}
.controls output{font-size:.9rem;color:var(--soft);padding-bottom:.5rem}
html:not(.scripted) .needs-script{display:none}
#list{display:block;width:100%;font-size:.9rem;font-variant-numeric:tabular-nums}
#list thead,#rows{display:flex;flex-direction:column}
#list tr{display:grid;grid-template-columns:2.6rem minmax(7rem,1.3fr) minmax(7rem,1fr) 3.6rem 4rem 6rem 4.6rem 8rem 5.4rem 4.6rem;gap:0 .5rem;border-bottom:1px solid var(--line);padding:.28rem 0;align-items:baseline}
#rows tr[hidden]{display:none}
#list th{text-align:left;font-weight:600}
#list thead th{font-size:.78rem;color:var(--soft)}
#list thead button{font:inherit;color:inherit;background:none;border:0;padding:.2rem 0;cursor:pointer;text-align:left;text-decoration:underline dotted;text-underline-offset:.2em}
#list th[aria-sort=ascending] button::after{content:" \\2191"}
#list th[aria-sort=descending] button::after{content:" \\2193"}
#rows tr:target{outline:2px solid var(--deep);outline-offset:2px}
.flag{color:var(--shoal)}
.card{display:flow-root;margin:1.4rem 0 0;padding-top:.7rem;border-top:2px solid var(--line);content-visibility:auto;contain-intrinsic-size:auto 640px}
.stop{border-top-color:var(--deep)}
.card>header{display:grid;grid-template-columns:1fr auto;gap:0 .6rem;align-items:center}
.card>header p{grid-column:1/-1;margin:0 0 .2rem;line-height:1.35}
.card .no{display:inline-block;min-width:1.9em;padding:0 .35em;margin-right:.2em;text-align:center;color:var(--paper);background:var(--ink);border-radius:3px;font-variant-numeric:tabular-nums}
.stop .no{background:var(--deep);border-radius:1em}
.card nav{display:flex;align-items:center;font-size:.9rem}
.card nav a{padding:.35rem .5rem}
.card .step{font-size:1.4rem;line-height:1;padding:.25rem .9rem .35rem;text-decoration:none}
.card span.step{opacity:.35}
.card .body{display:flex;flex-direction:column}
.doing{order:-1}
.doing dl{font-size:1rem;line-height:1.3;gap:0 .8rem;margin:0 0 .2rem}
.doing dd{font-weight:600}
.card,#rows tr{scroll-margin-top:.5rem}
.only-D .fig .U,.only-U .fig .D,.stop .fig .next{display:none}
.card .then{font-size:.92rem;line-height:1.3;margin:.2rem 0}
.card details{margin:0;font-size:.95rem}
summary{padding:.2rem 0;cursor:pointer}
.home{border-top:2px solid var(--deep);padding-top:.5rem;margin-top:1.4rem}
.two{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:.4rem 2rem;margin-bottom:.4rem;align-items:start}
.two h4:first-child{margin-top:.2rem}
dl{display:grid;grid-template-columns:max-content minmax(0,1fr);gap:.22rem .9rem;margin:.2rem 0;font-size:.93rem}
dt{color:var(--soft)}dd{margin:0}
.own-words{color:var(--soft);font-style:italic;font-size:.9rem;white-space:pre-line}
.notes,.next-angles{margin:.2rem 0;padding-left:1.2rem;font-size:.93rem}
.notes .warning b,.notes .error b{color:var(--shoal)}
.on-paper{display:none}
.from{color:var(--soft);font-size:.9em}
.none{color:var(--soft)}
.reading{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,20rem),1fr));gap:.2rem 2rem;font-size:.93rem}
.reading svg{width:3.2rem;height:1.5rem;flex:none}
.reading div{display:flex;gap:.7rem;align-items:center;margin:.15rem 0}
footer{color:var(--soft);font-size:.85rem;margin:2.5rem 0 2rem;padding-top:.5rem;border-top:1px solid var(--line)}
@media screen and (max-width:60rem){
html:not(.scripted) #list thead{position:absolute;clip-path:inset(50%);height:1px;overflow:hidden}
#list thead tr{display:flex;flex-wrap:wrap;gap:0 1rem}
#list thead th:not([data-key]){display:none}
#list tbody tr{grid-template-columns:2.2rem repeat(4,minmax(0,1fr));gap:.05rem .5rem;padding:.5rem 0}
#list tbody th{grid-column:2/-1;font-size:1rem}
#list tbody td:first-child{grid-row:1/span 5}
#list tbody td[data-label=Structure]{grid-column:2/span 2}
#list tbody td:is([data-label=Cast],[data-label='On bottom'],[data-label='Among fish']){grid-column:span 2}
#list tbody td:not(:first-child)::before{content:attr(data-label);display:block;font-size:.78rem;color:var(--soft)}
}
@media print,screen and (min-width:46rem){
.stop .body{display:grid}
.stop .body>figure{grid-row:1/span 2;grid-column:1}
.stop .doing{order:0}
.spot .body{display:block}
.spot .body>figure{float:left}
.spot .notes{display:flow-root}
.two{clear:both}
}
@media screen and (min-width:46rem){
.stop .body{grid-template-columns:minmax(0,26rem) minmax(0,1fr);grid-template-rows:auto 1fr;gap:.2rem 2rem;align-items:start}
.stop .doing{grid-column:2}
.stop .body:not(:has(>figure)){display:block}
.spot .body>figure{width:min(26rem,50%);margin:0 2rem .5rem 0}
.card .beside{max-width:26rem}
}
@media screen and (min-width:60rem){
.spot{contain-intrinsic-size:auto 1250px}
.card .body .fig{font-size:11.5px}
.two .fig{font-size:10px}
@supports selector(::details-content){
details.rest>summary{display:none}
details.rest::details-content{content-visibility:visible;height:auto;display:block}
}
}
@media screen and (max-width:46rem){
main,.top{padding:0 .75rem}
.top{padding-top:.8rem}
h1{font-size:1.5rem}
.controls{display:grid;grid-template-columns:1fr 1fr}.controls select,.controls input[type=search]{width:100%;max-width:none}
.overview{--px:2.15}
.two{grid-template-columns:minmax(0,1fr)}
.card .beside{display:none}
.card{margin-top:.6rem;padding-top:.25rem}
.card h3{font-size:1.15rem}
.card summary{padding:.1rem 0}
.doing dl{font-size:.95rem}
#list tbody td[data-label=Structure]{grid-column:4/-1;grid-row:1;align-self:end}
#list tbody td[data-label=Structure]::before{display:none!important}
#list tbody th{grid-column:2/4}
#list tbody td:first-child{grid-row:1}
#list tbody td[data-label=Sure]{grid-column:2}
#list tbody td[data-label=Cast]{grid-column:2/4}
#list tbody td:is([data-label='On bottom'],[data-label='Among fish']){grid-column:auto}
}
@media print{
@page{margin:11mm 12mm}
:root{color-scheme:light}
body{font-size:9.5pt;line-height:1.35;background:#fff;color:#000}
main,.top{max-width:none;padding:0}
nav,.controls,.skip,#each,footer,.map-tools,.card .more{display:none!important}
.on-paper{display:block;font-size:7.5pt;text-align:right}
.own-words{display:-webkit-box;-webkit-line-clamp:5;-webkit-box-orient:vertical;overflow:hidden}
svg.fig,.notes b,.chip,.pill,.no{-webkit-print-color-adjust:exact;print-color-adjust:exact}
.overview{max-width:150mm;margin:0 auto;--px:1.35}
#list{font-size:8pt}
#list tr{grid-template-columns:2rem minmax(5rem,1.6fr) minmax(4rem,1fr) 2.4rem 2.8rem 4rem 3rem 5.6rem 3.4rem 3.2rem;padding:.1rem 0;break-inside:avoid}
#list thead tr{display:grid}
#list thead button{text-decoration:none}
summary{list-style:none}
details::details-content{content-visibility:visible;height:auto}
.reading,p.soft{font-size:8.5pt}
.reading{gap:0 1.5rem}
.reading div{margin:0}
section:has(>.reading){break-inside:avoid}
h2{break-after:avoid;margin-top:1.2rem}
.card{content-visibility:visible;break-inside:avoid;border:0;margin:0;padding:0}
.card .no{color:#000;background:none;border:1.5pt solid #000}
.spot{break-before:page;zoom:.94}
.spot details.rest>summary{display:none}
.planned .spot,.planned .all-spots,.planned section:has(>.reading),.planned section:has(>#run){display:none}
.stop{height:124mm;overflow:hidden;border-top:1pt solid #888;padding-top:2mm}
.stop:nth-of-type(odd){break-before:page}
.stop .body{grid-template-columns:66mm minmax(0,1fr);gap:1mm 6mm}
.stop .beside{max-width:84mm}
.log{font-size:12pt;font-weight:600;text-align:left}
.two{grid-template-columns:repeat(2,minmax(0,1fr));gap:1mm 6mm}
dl,.notes,.next-angles,.own-words{font-size:8.2pt;line-height:1.28}
.stop dl,.stop .then,.stop details{font-size:10pt}
dl{gap:.12rem .7rem}
.card>header p{margin:0 0 .3rem}
.spot .body>figure{width:70mm;margin-right:5mm}
.two [data-figure^=side]{max-width:78mm}
h4{margin:.5rem 0 .15rem}
}`.trim();
