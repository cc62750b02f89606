import type { Paper } from './words'

/** Sizes of paper, millimetres. */
export const PAPER_MM: Readonly<Record<Paper, readonly [width: number, height: number]>> = {
  a4: [210, 297],
  letter: [215.9, 279.4],
}

/** The style of a brief: black on white, large figures, nothing said by colour alone. */
export function styleOf(paper: Paper): string {
  const [width, height] = PAPER_MM[paper]
  return `
@page { size: ${width}mm ${height}mm; margin: 13mm 14mm 15mm;
  @bottom-right { content: counter(page) " / " counter(pages); font: 9pt sans-serif; } }
:root { color: #000; background: #fff; font: 10.5pt/1.35 system-ui, "Helvetica Neue", Arial, "Liberation Sans", "DejaVu Sans", sans-serif; }
body { margin: 0 auto; max-width: 188mm; padding: 4mm; }
@media print { body { max-width: none; padding: 0; } }
h1 { font-size: 21pt; line-height: 1.15; margin: 0; overflow-wrap: anywhere; }
h2 { font-size: 14pt; margin: 7mm 0 2mm; border-bottom: 0.6mm solid #000; break-after: avoid; }
h3 { font-size: 11.5pt; margin: 2.5mm 0 0.5mm; break-after: avoid; }
p { margin: 0.8mm 0; overflow-wrap: anywhere; }
a { color: inherit; text-decoration: underline dotted; }
.spot { white-space: nowrap; font-variant-numeric: tabular-nums; }
.small { font-size: 9.5pt; }
.alarm { font-weight: 700; }
.alarm::before { content: "! "; }
table { border-collapse: collapse; font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: 0.8mm 1.6mm 0.8mm 0; border-bottom: 0.2mm solid #888; }
thead th { border-bottom: 0.4mm solid #000; }
th[scope=row] { font-weight: 600; overflow-wrap: break-word; }
tr, li, figure, .budget, .beside, .antennas, .blank { break-inside: avoid; }
thead { display: table-header-group; }
.wide { overflow-x: auto; }
.wide table { width: 100%; font-size: 9.5pt; }
header p { margin-top: 1mm; }
.key { margin-top: 3mm; }
.turn-by { display: grid; grid-template-columns: 1fr 1fr; border: 0.7mm solid #000; }
.turn-by p { margin: 0; padding: 1.6mm 2.4mm; border: 0.2mm solid #000; }
.turn-by b { display: block; font-size: 10pt; font-weight: 600; }
.turn-by strong { font-size: 13pt; line-height: 1.2; font-variant-numeric: tabular-nums; }
.verdict { font-size: 13pt; font-weight: 700; margin: 1.6mm 0; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: 0.4mm 4mm; margin: 2mm 0; }
dt { font-weight: 600; }
dd { margin: 0; overflow-wrap: anywhere; }
figure { margin: 0; }
.map svg { display: block; width: 100%; height: auto; border: 0.3mm solid #000; box-sizing: border-box; }
.swatches { list-style: none; display: flex; flex-wrap: wrap; gap: 1mm 5mm; padding: 0; margin: 1.5mm 0 0; font-size: 10pt; }
.swatches li { display: flex; align-items: center; gap: 1.5mm; }
.swatches img { width: 9mm; height: 6mm; border: 0.2mm solid #000; }
figcaption p { font-size: 9.5pt; }
svg text { font-family: inherit; }
.kilometres text { font-size: 23px; paint-order: stroke; stroke: #fff; stroke-width: 7px; }
.kilometres path { stroke: #000; stroke-width: 2px; }
.keep-out { fill: none; stroke: #000; stroke-width: 5px; stroke-dasharray: 4 10; }
.obstacle { fill: none; stroke: #000; stroke-width: 5px; }
.obstacle.wire { stroke-width: 7px; stroke-dasharray: 22 6 4 6; }
.way { fill: none; stroke: #000; stroke-width: 6px; stroke-dasharray: 1 12; stroke-linecap: round; }
.landing { fill: #fff; fill-opacity: 0.55; stroke: #000; stroke-width: 5px; }
.route path { fill: none; stroke-linejoin: round; stroke-linecap: round; }
.route .halo { stroke: #fff; stroke-width: 17px; }
.route .line { stroke: #000; stroke-width: 8px; }
.turn-mark path { stroke: #000; stroke-width: 9px; }
.label { font-size: 32px; font-weight: 700; paint-order: stroke; stroke: #fff; stroke-width: 9px; }
.waypoint circle { fill: #fff; stroke: #000; stroke-width: 5px; }
.waypoint text { font-size: 27px; font-weight: 700; text-anchor: middle; }
.landing-mark path { stroke: #000; stroke-width: 5px; }
.landing-mark rect { fill: #000; stroke: #fff; stroke-width: 4px; }
.landing-mark text { font-size: 30px; font-weight: 700; text-anchor: middle; fill: #fff; }
.launch path { fill: #000; stroke: #fff; stroke-width: 5px; }
.square rect { fill: #fff; stroke: #000; stroke-width: 6px; }
.scale rect { fill: #fff; }
.scale path { fill: none; stroke: #000; stroke-width: 5px; }
.scale text { font-size: 28px; font-weight: 600; }
.corridor svg { display: block; width: 100%; height: auto; }
.corridor text { font-size: 10.5px; }
.corridor .grid { stroke: #bbb; stroke-width: 0.6px; }
.corridor .hatch { stroke: #000; stroke-width: 0.8px; }
.corridor .corridor-open { fill: #e4e4e4; }
.corridor .cover { fill: #777; }
.corridor .ground { fill: #9a9a9a; }
.corridor .ceiling { fill: none; stroke: #000; stroke-width: 1.2px; stroke-dasharray: 6 3; }
.corridor .floor { fill: none; stroke: #000; stroke-width: 1.1px; }
.corridor .flown { fill: none; stroke: #000; stroke-width: 2.6px; }
.corridor .turn path { stroke: #000; stroke-width: 1.2px; stroke-dasharray: 2 2; }
.corridor .turn text { font-weight: 700; paint-order: stroke; stroke: #fff; stroke-width: 3px; }
.corridor .station circle { fill: #fff; stroke: #000; stroke-width: 1.4px; }
.corridor .station text { font-weight: 700; }
.corridor .conflict { fill: #000; stroke: #fff; stroke-width: 1px; }
.conflicts, .positions { margin: 1mm 0; padding-left: 6mm; }
.antennas { width: 100%; }
.big { font-size: 15pt; font-weight: 700; line-height: 1.1; }
.beside { display: flex; gap: 6mm; align-items: center; margin-top: 3mm; flex-wrap: wrap; }
.horizon { width: 84mm; max-width: 100%; height: auto; }
.horizon .skyline { fill: #8a8a8a; stroke: #000; stroke-width: 1px; }
.horizon .ring { fill: none; stroke: #555; stroke-width: 0.6px; stroke-dasharray: 2 2; }
.horizon text { font-size: 10px; }
.horizon .compass { font-size: 14px; font-weight: 700; }
.horizon .toward { stroke: #000; stroke-width: 2px; }
.budgets { display: flex; flex-wrap: wrap; gap: 3mm 8mm; align-items: flex-start; }
.budget { flex: 1 1 70mm; font-size: 10pt; }
.budget caption { text-align: left; padding-bottom: 1mm; }
.budget .sum th, .budget .sum td { font-size: 12pt; font-weight: 700; }
.budget .sum .small { font-weight: 400; font-size: 9pt; }
.areas { list-style: none; padding: 0; margin: 0; }
.areas li { border-left: 1.2mm solid #000; padding-left: 3mm; margin: 2.5mm 0; }
.checks ul { list-style: none; padding: 0; margin: 0; }
.checks li { padding: 1.3mm 0; border-bottom: 0.2mm solid #aaa; font-size: 11.5pt; }
.checks label { display: flex; gap: 3mm; align-items: flex-start; }
.checks input { appearance: none; flex: none; width: 5mm; height: 5mm; margin: 0; border: 0.5mm solid #000; background: #fff; }
.checks input:checked { background: #000; }
.checks input:checked + span { text-decoration: line-through; }
.checks input:focus-visible { outline: 0.8mm solid #1557b0; outline-offset: 0.6mm; }
.notes .blank div { height: 8.6mm; border-bottom: 0.25mm solid #777; }
.cautions { border: 0.3mm solid #000; padding: 2mm 3mm; font-size: 9.5pt; margin-top: 3mm; break-inside: avoid; }
@media screen { .positions a, .areas a, .conflicts a { display: inline-block; padding: 3px 0; } }
@media screen and (max-width: 620px) {
  :root { font-size: 16px; }
  .turn-by { grid-template-columns: 1fr; }
  dl { grid-template-columns: 1fr; }
  dd { margin-bottom: 1.5mm; }
  .spot { white-space: normal; }
  .wide table { min-width: 170mm; }
}
`
}
