/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* How the page looks, in light, in the dark, on paper, and on a phone. */

#include "page.h"

static const char colours[] =
    ":root{color-scheme:light dark;--ground:#fff;--ink:#16191d;--soft:#565d64;--hair:#d3d7da;"
    "--rule:#7b8288;--data:#20548c;--warn:#9c1f14;--limit:#8a4a00;--good:#12623a;"
    "--area:#20548c24;--on:#fff}\n"
    "@media (prefers-color-scheme:dark){:root{--ground:#15181b;--ink:#eceeed;--soft:#a7aeb4;"
    "--hair:#3a4046;--rule:#868e95;--data:#8cbdf0;--warn:#ff9384;--limit:#e9ab5c;--good:#6fcf9b;"
    "--area:#8cbdf030;--on:#15181b}}\n"
    "@media print{:root{color-scheme:light;--ground:#fff;--ink:#000;--soft:#4a5157;--hair:#c9cdd0;"
    "--rule:#6b7278;--data:#20548c;--warn:#9c1f14;--limit:#8a4a00;--good:#12623a;"
    "--area:#20548c24;--on:#fff}}\n";

static const char layout[] =
    "*{box-sizing:border-box}\n"
    "body{margin:0 auto;padding:2.5rem clamp(12px,4vw,4rem) 4rem;max-width:84rem;"
    "background:var(--ground);color:var(--ink);font:1rem/1.5 system-ui,sans-serif;"
    "font-variant-numeric:tabular-nums lining-nums;overflow-wrap:anywhere;"
    "-webkit-print-color-adjust:exact;print-color-adjust:exact}\n"
    ".who{margin:0 0 .8rem;display:flex;flex-wrap:wrap;gap:.1rem 1.6rem;align-items:baseline;"
    "color:var(--soft)}\n"
    ".who b{color:var(--ink);font-size:2rem;line-height:1.2}\n"
    "h1{margin:0;padding:.22em .4em;display:flex;align-items:center;gap:.35em;line-height:1.1;"
    "font-size:clamp(1.9rem,8.2vw,5.4rem);letter-spacing:-.01em;color:var(--on);"
    "background:var(--soft)}\n"
    "h1.good{background:var(--good)}h1.bad{background:var(--warn)}\n"
    "h1 svg{width:.86em;height:.86em;flex:none;fill:none;stroke:currentColor;stroke-width:9;"
    "stroke-linejoin:round;stroke-linecap:round}\n"
    ".why{margin:1.2rem 0 0;font-size:1.5rem;line-height:1.35;max-width:56rem}\n"
    ".rule{margin:.9rem 0 0;color:var(--soft);max-width:56rem}\n"
    ".facts{margin:2rem 0;display:grid;grid-template-columns:repeat(auto-fit,minmax(9.5rem,1fr));"
    "gap:1.2rem 2.4rem}\n"
    ".facts dt{color:var(--soft)}.facts dd{margin:0;font-size:1.7rem;line-height:1.3}"
    ".facts small{font-size:1rem;color:var(--soft)}\n"
    "h2{margin:4rem 0 1rem;font-size:1.5rem;line-height:1.2}\n"
    "h3{margin:0;font-size:1.12rem}\n"
    "ul.told{margin:.4rem 0;padding:0;list-style:none;font-size:1.12rem;max-width:56rem}"
    "ul.told li{margin:.35rem 0}ul.told b{margin-right:.4rem}\n"
    ".notes{color:var(--soft);max-width:56rem;padding-left:1.1rem}\n"
    ".pair{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,27rem),1fr));"
    "gap:0 4rem;align-items:start}\n"
    "figure{margin:0 0 3rem;min-width:0}\n"
    "figcaption p,.none p{margin:.2rem 0 1rem;color:var(--soft);max-width:46rem}\n"
    "ul.key{margin:.7rem 0;padding:0;list-style:none;display:flex;flex-wrap:wrap;"
    "gap:.15rem 1.5rem;color:var(--soft);font-size:.9rem}\n"
    "ul.key svg{width:26px;height:16px;vertical-align:-3px;margin-right:7px;overflow:visible}\n"
    "details{margin:.5rem 0}summary{color:var(--soft);cursor:pointer;font-size:.9rem}\n"
    ".scroll{overflow-x:auto}\n"
    "table{border-collapse:collapse;font-size:.9rem;margin:.6rem 0}\n"
    "th,td{padding:.16rem 1.1rem .16rem 0;text-align:right;vertical-align:top;white-space:nowrap}"
    "th{color:var(--soft);font-weight:600;border-bottom:1px solid var(--rule)}\n"
    "td:last-child,th:last-child{text-align:left}\n"
    ".records{width:100%}.records th,.records td{text-align:left}.records td:first-child,"
    ".records th:first-child{text-align:right}.records td:last-child{white-space:normal;"
    "min-width:14rem}\n"
    ".void td{color:var(--soft);text-decoration:line-through}"
    ".void td:last-child{text-decoration:none}\n";

static const char drawing[] =
    "svg text{font-size:12px;fill:var(--soft)}\n"
    ".chart{display:block;overflow:visible;margin:0 7rem 0 3.5rem;width:calc(100% - 10.5rem)}\n"
    ".bars{margin-left:5rem;width:calc(100% - 14rem);margin-right:9rem}\n"
    ".square{display:block;width:100%;max-width:27rem;overflow:visible}\n"
    ".frame{overflow:visible}\n"
    ".mid{text-anchor:middle}.end{text-anchor:end}\n"
    "line,path,circle,rect{vector-effect:non-scaling-stroke}\n"
    "circle,path,line{fill:none}\n"
    ".axis{stroke:var(--rule);stroke-width:1}.ring{stroke:var(--hair);stroke-width:1}\n"
    ".cross{stroke:var(--ink);stroke-width:1.4}\n"
    ".cut{stroke:var(--ink);stroke-width:1.2;stroke-dasharray:1 3}\n"
    ".mean{stroke:var(--rule);stroke-width:1}\n"
    ".control{stroke:var(--rule);stroke-width:1.3;stroke-dasharray:7 5}\n"
    "line.shop,circle.shop{stroke:var(--limit);stroke-width:2.4}\n"
    "svg text.shop{fill:var(--limit);font-weight:700}\n"
    ".half{stroke:var(--limit);stroke-width:1.4;stroke-dasharray:2 4}\n"
    ".join{stroke:var(--data);stroke-width:1;opacity:.55}\n"
    ".curve{stroke:var(--data);stroke-width:2}\n"
    "circle.run{fill:var(--data)}circle.seat{fill:var(--data)}\n"
    ".earlier{fill:var(--ground);stroke:var(--data);stroke-width:1.2}\n"
    ".newest{stroke:var(--ink);stroke-width:1.8}\n"
    ".possible{fill:var(--area)}\n"
    "#beyond,#over,.sample.beyond,.sample.over{fill:var(--warn)}\n"
    "#four,.sample.four{fill:var(--ground);stroke:var(--warn);stroke-width:1.8}\n"
    "svg text.num{fill:var(--ink);font-weight:600}svg text.name{fill:var(--ink)}\n"
    ".bar{fill:var(--data);stroke:var(--data);stroke-width:1.4}.assumed{fill:none}\n"
    ".marks{position:absolute}\n";

static const char media[] =
    "@media (max-width:719px){body{padding-top:1.2rem}.wide{display:none}"
    ".why{font-size:1.2rem}h2{margin-top:3rem}"
    ".chart{margin:0 6rem 0 2.9rem;width:calc(100% - 8.9rem)}"
    ".bars{margin:0 8.2rem 0 4.4rem;width:calc(100% - 12.6rem)}"
    ".facts{gap:.8rem 1.2rem;grid-template-columns:repeat(2,minmax(0,1fr))}"
    ".facts dd{font-size:1.3rem}}\n"
    "@page{margin:14mm}\n"
    "@media print{body{padding:0;max-width:none;font-size:10.5pt}.wide{display:none}"
    "h1{font-size:34pt}.why{font-size:14pt}.facts{margin:1.2rem 0}.facts dd{font-size:14pt}"
    "h2{margin:1.6rem 0 .6rem;break-after:avoid}figure,tr,.none{break-inside:avoid}"
    "figure{margin-bottom:1.2rem}.pair{gap:0 2rem;grid-template-columns:1fr 1fr}"
    ".pair .chart{margin:0 5.6rem 0 2.9rem;width:calc(100% - 8.5rem)}"
    ".pair .bars{margin:0 8rem 0 4.2rem;width:calc(100% - 12.2rem)}"
    "details:not([open]){display:none}.scroll{overflow:visible}thead{display:table-header-group}"
    "table{font-size:8.5pt}}\n";

void page_style(FILE *out)
{
    fprintf(out, "<style>\n%s%s%s%s</style>\n", colours, layout, drawing, media);
}
