"""Page style: colours, type and columns of an answer's page, on light and dark screens and on paper.

Colours are named once, for each ground; the style sheet has no others. Type is the reader's own, in one scale.
"""

from __future__ import annotations

LIGHT = {
    "paper": "#faf8f3",
    "ink": "#1c2127",
    "quiet": "#5e656d",
    "rule": "#cbc6ba",
    "shade": "#eeeae0",
    "warn": "#d55e00",
}
"""As sheets have them."""
DARK = {
    "paper": "#0d0f11",
    "ink": "#e9e6df",
    "quiet": "#a7abb1",
    "rule": "#33383e",
    "shade": "#1b1f23",
    "warn": "#ff9c4a",
}
"""The ground of frames on every screen, near black, so that a night's darks read; where screens are dark, of all."""
PRINT = {
    "paper": "#ffffff",
    "ink": "#000000",
    "quiet": "#3d4247",
    "rule": "#a8a8a8",
    "shade": "#f0f0f0",
    "warn": "#d55e00",
}
TEXT = ("ink", "quiet")
GROUNDS = ("paper", "shade")
"""Each colour of TEXT may stand on each of GROUNDS."""


def style_sheet() -> str:
    """The whole of the CSS."""
    return "\n".join(
        [
            f":root{{color-scheme:light dark;{_named(LIGHT)}}}",
            f"@media (prefers-color-scheme:dark){{:root{{{_named(DARK)}}}}}",
            f"@media screen{{.frames{{{_named(DARK)}}}}}",
            RULES,
            f"@media screen and (max-width:{TELEPHONE}){{{STACKED.format(table='.stacks')}}}",
            f"@media screen and (max-width:{TABLET}){{{ROOM_FOR_COLUMNS}{STACKED.format(table='.stacks.broad')}}}",
            f"@media print{{:root{{color-scheme:light;{_named(PRINT)}}}{ON_PAPER}}}",
        ]
    )


def _named(colours: dict[str, str]) -> str:
    return "".join(f"--{name}:{colour};" for name, colour in colours.items())


RULES = """
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%;text-size-adjust:100%}
body{margin:0;background:var(--paper);color:var(--ink);
font:1.0625rem/1.5 system-ui,-apple-system,"Segoe UI",Roboto,"Noto Sans","Liberation Sans",sans-serif;
overflow-wrap:break-word}
header,section,.frames>*{max-width:76rem;margin-inline:auto;padding-inline:clamp(1rem,4vw,3rem)}
header{padding-block:clamp(2rem,6vw,4.5rem) clamp(.25rem,1vw,.75rem)}
h1{font-size:clamp(1.75rem,1.2rem + 2.4vw,2.75rem);line-height:1.12;letter-spacing:-.015em;font-weight:700;margin:0;
text-wrap:balance}
h2{font-size:1.3125rem;line-height:1.25;letter-spacing:-.005em;font-weight:650;margin:0 0 1rem;text-wrap:balance}
p{margin:0 0 .75rem;max-width:44rem;text-wrap:pretty}
.about{color:var(--quiet);margin:.75rem 0 0}
.note{color:var(--quiet);font-size:.875rem;line-height:1.45;margin:.75rem 0 0}
section{padding-block:clamp(1.25rem,3vw,2.25rem)}
section>:last-child{margin-bottom:0}
main>.frames:first-child{margin-top:1rem}
.frames{max-width:none;padding-inline:0;background:var(--paper);color:var(--ink)}
.cells{display:grid;gap:2rem var(--gap);--gap:1.25rem;grid-template-columns:repeat(auto-fill,
minmax(min(100%,max(var(--least),(100% - (var(--columns) - 1)*var(--gap))/var(--columns))),1fr))}
.cells{--least:17rem}
.four{--columns:4;--least:13.5rem}.three{--columns:3}.two{--columns:2;--least:20rem}.one{--columns:1}
figure{margin:0}
.cell{display:grid;grid-row:span var(--parts);grid-template-rows:subgrid;row-gap:.5rem;
grid-template-columns:minmax(0,1fr);align-content:start}
.parts2{--parts:2}.parts3{--parts:3}.parts4{--parts:4}
figcaption{display:contents}
.cell img,.empty{display:block;align-self:end;width:100%;height:auto;border-radius:2px}
.empty{display:grid;place-items:center;text-align:center;background:var(--shade);padding:1rem;min-width:0}
.empty p{margin:0;text-wrap:balance}
.name{font-weight:650;line-height:1.3;margin:0}
dl{margin:0;font-size:.875rem;line-height:1.4;display:grid;grid-template-columns:minmax(0,max-content) minmax(50%,1fr);
gap:.125rem .75rem;align-content:start}
dt{color:var(--quiet)}
dd{margin:0;font-variant-numeric:tabular-nums}
.said p{font-size:.875rem;line-height:1.45;margin:0 0 .25rem}
@media (max-width:30rem){.cell{grid-row:auto;grid-template-rows:none}figcaption>:empty{display:none}}
.scroll{overflow-x:auto;background:
linear-gradient(to right,var(--paper) 30%,transparent) left/2.5rem 100% no-repeat local,
linear-gradient(to left,var(--paper) 30%,transparent) right/2.5rem 100% no-repeat local,
linear-gradient(to right,var(--rule),transparent) left/.75rem 100% no-repeat scroll,
linear-gradient(to left,var(--rule),transparent) right/.75rem 100% no-repeat scroll}
.scroll:focus-visible{outline:2px solid var(--ink);outline-offset:2px}
table{border-collapse:collapse;font-size:.9375rem;line-height:1.4;min-width:100%}
th,td{text-align:left;vertical-align:top;padding:.5rem 1.5rem .5rem 0;max-width:26rem}
th:last-child,td:last-child{padding-right:0}
thead th,thead td{color:var(--quiet);font-size:.875rem;font-weight:600;vertical-align:bottom;
border-bottom:1px solid var(--rule)}
tbody tr+tr>*{border-top:1px solid var(--shade)}
tbody th{font-weight:400}
tbody th:not(.number){min-width:7rem}
td.words{min-width:12rem}
.number{font-variant-numeric:tabular-nums;white-space:nowrap}
.right{text-align:right}
.drawing img{display:block;width:100%;height:auto;border-radius:2px}
.closer{position:absolute;opacity:0}
.nearer{display:none;font-size:.875rem;color:var(--quiet);margin:.5rem 0 0}
@media (max-width:50rem){.drawing label{cursor:zoom-in}.nearer{display:block}
.closer:checked~.scroll img{width:60rem;max-width:none}
.closer:focus-visible~.nearer{outline:2px solid var(--ink);outline-offset:2px}}
.caution{display:grid;grid-template-columns:2.25rem 1fr;gap:0 1rem;border-left:4px solid var(--warn);
padding:.25rem 0 .25rem 1.25rem}
.caution svg{width:2.25rem;height:2.25rem;fill:var(--warn)}
.caution svg .mark{fill:var(--paper)}
.caution h2{font-size:1.0625rem;line-height:1.5;margin:0 0 .25rem}
.caution p{margin:0 0 .5rem}
footer{height:clamp(2rem,6vw,4rem)}
""".strip()

TELEPHONE, TABLET = "40rem", "60rem"
"""Widths under which rows become blocks, of tables that are too wide for such a screen."""
ROOM_FOR_COLUMNS = "th,td{padding-right:.75rem}td.words,tbody th:not(.number){min-width:0}"
STACKED = """
{table},{table} tbody{{display:block}}{table} thead{{display:none}}
{table} tr{{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,9.5rem),1fr));gap:.125rem 1rem;
padding:.625rem 0}}
{table} tr+tr:not(.on){{border-top:1px solid var(--rule)}}{table} tr.on{{padding-top:0}}
{table} tr>*{{display:flex;gap:.5rem;padding:0;border:0;min-width:0;max-width:none;text-align:left}}
{table} .whole{{grid-column:1/-1}}{table} td.whole::before{{flex:none;min-width:5.5rem;max-width:45%}}
{table} tr>:empty{{display:none}}
{table} tbody th{{font-weight:650}}
{table} [data-head]::before{{content:attr(data-head);color:var(--quiet);font-weight:400}}
""".strip()

ON_PAPER = """
@page{margin:14mm 14mm 16mm;@bottom-right{content:counter(page) " of " counter(pages);font:8pt system-ui,sans-serif}}
body{font-size:9.5pt}
header,section,.frames>*{max-width:none;padding-inline:0}
header{padding-block:0 4mm}
section{padding-block:4mm}
h1{font-size:20pt}
h2{font-size:12pt;break-after:avoid}
h2+*{break-before:avoid}
.cells{gap:5mm 4mm;--gap:4mm;--least:0px;grid-template-columns:repeat(var(--columns),minmax(0,1fr))}
.cell,.drawing,.caution,tr{break-inside:avoid}
.cell{row-gap:1mm}
.note,dl,.said p,thead th,thead td{font-size:8pt}
table{font-size:8.5pt}
.many{font-size:7.5pt}
th,td{padding:1mm 4mm 1mm 0}
.many th,.many td{padding-right:2.5mm}
tbody tr:first-child,tbody tr:nth-last-child(-n+3):not(:last-child){break-after:avoid}
.drawing img{width:auto;max-width:100%;max-height:135mm}
.drawing+.note{break-before:avoid}
.empty{padding:2mm;font-size:8pt;line-height:1.3}
td.words,tbody th{min-width:0}
thead{display:table-header-group}
.scroll{overflow:visible;}
.nearer{display:none!important}
p{orphans:3;widows:3}
footer{display:none}
""".strip()
