/**
 * An invented mountain island as an elevation model, the same on every run and engine.
 *
 * A noise-shaped uplift is cut by rivers (implicit stream-power law, n = 1, m = 3/8: Braun & Willett 2013, on a
 * depression-free surface: Barnes, Lehman & Mulla 2014) from a coarse to a fine grid, then glaciers widen the high
 * valleys into troughs, torrents gully the walls, and a rock bar holds one lake. Only exactly rounded arithmetic
 * (+ - * / sqrt) is used, since a last-bit difference could send a river down another valley.
 */

export interface Massif {
  cols: number
  rows: number
  cellM: number
  /** metres above sea level, row 0 is the northernmost row, Float32Array rows*cols */
  heights: Float32Array
}

/** A square working grid; `sea` marks the cells that stay at 0 m. */
interface Grid {
  n: number
  cellM: number
  h: Float64Array
  sea: Uint8Array
}

/** D8 drainage: land cells from low to high, the cell each drains to, the distance to it, and the area above it. */
interface Drainage {
  order: Int32Array
  receiver: Int32Array
  distM: Float64Array
  areaM2: Float64Array
}

/** A point on the centre line of a glacier trough; position in cells. */
interface TroughPoint {
  col: number
  row: number
  floorM: number
  halfFloorM: number
  down: TroughPoint | undefined
  up: TroughPoint | undefined
}

const SIDE_M = 30_000
const CELLS = 1000
const BORDER_SEA_M = 1_300
const UPLIFT_M_PER_YR = 1e-3
const ERODIBILITY = 0.48e-5 // m^(1/4) per year
const WEAK_SLOPE = 0.4 // steepest stable hillside (tangent) on weak rock
const STRONG_SLOPE = 0.95 // and on strong rock
const ALLUVIAL_RISE_M = 0.05 // rise per cell of the gravel with which a river fills a hollow
const SNOWLINE_M = 1_150
const GLACIER_MIN_FLUX_M2 = 300_000
const TROUGH_LOWEST_M = 60
const TROUGH_REACH_M = 1_500
const CIRQUE_RADIUS_M = 160
const CIRQUE_POINTS = 8 // trough points are one cell apart, about 35 m
const LAKE_POINTS = 90
const LAKE_LOWEST_M = 220
const LAKE_DEPTH_M = 25
const LAKE_REACH_M = 300
const GULLY_MAX_AREA_M2 = 50_000 // torrents work on the walls; larger streams leave the trough floors alone
const HEIGHT_STEP_M = 1 / 8

const DX = [1, 1, 0, -1, -1, -1, 0, 1]
const DY = [0, 1, 1, 1, 0, -1, -1, -1]

const clamp = (v: number, lo: number, hi: number): number => (v < lo ? lo : v > hi ? hi : v)
const smoothstep = (lo: number, hi: number, v: number): number => {
  const t = clamp((v - lo) / (hi - lo), 0, 1)
  return t * t * (3 - 2 * t)
}

/** Integer hash of a lattice point, 0 to 1. */
function hash(x: number, y: number, seed: number): number {
  let v = Math.imul(x, 0x27d4eb2d) ^ Math.imul(y, 0x165667b1) ^ Math.imul(seed, 0x9e3779b1)
  v = Math.imul(v ^ (v >>> 15), 0x85ebca6b)
  v = Math.imul(v ^ (v >>> 13), 0xc2b2ae35)
  return ((v ^ (v >>> 16)) >>> 0) / 4294967296
}

/** Dot product of the offset (dx, dy) with the pseudo-random gradient of a lattice point. */
function gradientDot(x: number, y: number, seed: number, dx: number, dy: number): number {
  const gx = hash(x, y, seed) * 2 - 1
  const gy = hash(x, y, seed + 101) * 2 - 1
  return (gx * dx + gy * dy) / Math.sqrt(gx * gx + gy * gy + 1e-9)
}

/** Gradient noise with quintic fades, about -1 to 1. */
function noise(x: number, y: number, seed: number): number {
  const ix = Math.floor(x),
    iy = Math.floor(y)
  const fx = x - ix,
    fy = y - iy
  const u = fx * fx * fx * (fx * (fx * 6 - 15) + 10)
  const v = fy * fy * fy * (fy * (fy * 6 - 15) + 10)
  const a = gradientDot(ix, iy, seed, fx, fy)
  const b = gradientDot(ix + 1, iy, seed, fx - 1, fy)
  const c = gradientDot(ix, iy + 1, seed, fx, fy - 1)
  const d = gradientDot(ix + 1, iy + 1, seed, fx - 1, fy - 1)
  const top = a + u * (b - a)
  return 1.4 * (top + v * (c + u * (d - c) - top))
}

/** Fractal noise; each octave is turned (by a 3-4-5 triangle) so that no lattice direction shows. */
function fractal(x: number, y: number, octaves: number, seed: number): number {
  let sum = 0,
    weight = 1,
    total = 0
  for (let o = 0; o < octaves; o++) {
    sum += weight * noise(x, y, seed + o)
    total += weight
    weight *= 0.5
    ;[x, y] = [2 * (0.8 * x - 0.6 * y) + 17.3, 2 * (0.6 * x + 0.8 * y) - 9.1]
  }
  return sum / total
}

/** How far inland a point is: 0 on the coast, about 1 in the middle, negative at sea. Position in km. */
function inland(xKm: number, yKm: number): number {
  const wx = xKm + 2.6 * fractal(xKm / 8, yKm / 8, 3, 11)
  const wy = yKm + 2.6 * fractal(xKm / 8, yKm / 8, 3, 23)
  const dx = (wx - 15) / 12.6,
    dy = (wy - 15) / 11.6
  const shape = 1 - Math.sqrt(dx * dx + dy * dy) + 0.5 * fractal(wx / 5, wy / 5, 6, 37)
  const edgeKm = Math.min(xKm, yKm, SIDE_M / 1000 - xKm, SIDE_M / 1000 - yKm)
  return Math.min(shape, (edgeKm - BORDER_SEA_M / 1000) / 8)
}

/** Relative uplift 0 to 1: crests along warped ridged noise, low forelands along the coast. Position in km. */
function upliftShare(xKm: number, yKm: number): number {
  const wx = xKm + 1.5 * fractal(xKm / 5, yKm / 5, 3, 53)
  const wy = yKm + 1.5 * fractal(xKm / 5, yKm / 5, 3, 67)
  const crest = 1 - Math.abs(fractal(wx / 9, wy / 9, 5, 79)) * 2.5
  const foreland = 0.75 + 0.3 * fractal(xKm / 9, yKm / 9, 2, 89)
  return smoothstep(-0.02, foreland, inland(xKm, yKm)) * (0.4 + 0.6 * clamp(crest, 0, 1))
}

/** Strength of the rock, 0 weak to 1 strong. Position in km. */
const rockStrength = (xKm: number, yKm: number): number =>
  clamp(
    0.5 + 0.9 * fractal(xKm / 2.5, yKm / 2.5, 3, 113) + 0.9 * fractal(xKm / 0.6, yKm / 0.6, 4, 127),
    0,
    1,
  )

/** Samples a function of position (km) at every cell centre. */
function sample(n: number, f: (xKm: number, yKm: number) => number): Float64Array {
  const km = SIDE_M / 1000 / n
  return Float64Array.from({ length: n * n }, (_, i) =>
    f(((i % n) + 0.5) * km, (Math.floor(i / n) + 0.5) * km),
  )
}

/** A grid of n x n cells whose heights are interpolated from a coarser grid, or start as low noisy ground. */
function makeGrid(n: number, from?: Grid): Grid {
  const shore = sample(n, inland)
  const h = sample(n, (xKm, yKm) =>
    from
      ? interpolate(from, (xKm * 1000) / from.cellM - 0.5, (yKm * 1000) / from.cellM - 0.5) +
        6 * fractal(xKm / 0.25, yKm / 0.25, 2, 131)
      : 900 * (1 + 1.2 * fractal(xKm / 3, yKm / 3, 6, 97)) * Math.max(0, inland(xKm, yKm)),
  )
  const sea = new Uint8Array(n * n)
  for (let i = 0; i < h.length; i++) {
    if (shore[i] <= 0) [sea[i], h[i]] = [1, 0]
    else h[i] = Math.max(h[i], 0.5)
  }
  return { n, cellM: SIDE_M / n, h, sea }
}

/** Bilinear height at a fractional cell position. */
function interpolate(g: Grid, col: number, row: number): number {
  const c = clamp(col, 0, g.n - 1.001),
    r = clamp(row, 0, g.n - 1.001)
  const ic = Math.floor(c),
    ir = Math.floor(r),
    i = ir * g.n + ic
  const top = g.h[i] + (c - ic) * (g.h[i + 1] - g.h[i])
  const bottom = g.h[i + g.n] + (c - ic) * (g.h[i + g.n + 1] - g.h[i + g.n])
  return top + (r - ir) * (bottom - top)
}

/** Fills every depression so that all land drains to the sea, rising by `riseM` per cell; returns cells low to high. */
function fillDepressions(g: Grid, riseM: number): Int32Array {
  const { n, h, sea } = g
  const heap = new Int32Array(n * n)
  const seen = Uint8Array.from(sea)
  const order = new Int32Array(n * n)
  let size = 0,
    count = 0
  const push = (cell: number): void => {
    let at = size++
    while (at > 0) {
      const parent = (at - 1) >> 1
      if (h[heap[parent]] <= h[cell]) break
      heap[at] = heap[parent]
      at = parent
    }
    heap[at] = cell
  }
  const pop = (): number => {
    const lowest = heap[0],
      last = heap[--size]
    let at = 0
    for (let child = 1; child < size; child = 2 * at + 1) {
      if (child + 1 < size && h[heap[child + 1]] < h[heap[child]]) child++
      if (h[heap[child]] >= h[last]) break
      heap[at] = heap[child]
      at = child
    }
    heap[at] = last
    return lowest
  }
  const reach = (cell: number, fromM: number): void => {
    seen[cell] = 1
    h[cell] = Math.max(h[cell], fromM + riseM)
    push(cell)
  }
  for (let i = n + 1; i < n * n - n - 1; i++) {
    if (!sea[i] && !seen[i] && DX.some((dx, k) => sea[i + DY[k] * n + dx])) reach(i, 0)
  }
  while (size > 0) {
    const cell = pop()
    order[count++] = cell
    for (let k = 0; k < 8; k++) {
      const next = cell + DY[k] * n + DX[k]
      if (!seen[next]) reach(next, h[cell])
    }
  }
  return order.subarray(0, count)
}

/** Fills depressions and routes each land cell to a steep lower neighbour; slight chance hides the eight directions. */
function drain(g: Grid, round: number): Drainage {
  const { n, h } = g
  const order = fillDepressions(g, ALLUVIAL_RISE_M)
  const receiver = new Int32Array(n * n)
  const distM = new Float64Array(n * n)
  const areaM2 = new Float64Array(n * n).fill(g.cellM * g.cellM)
  for (const i of order) {
    let steepest = 0
    for (let k = 0; k < 8; k++) {
      const next = i + DY[k] * n + DX[k]
      const drop =
        (h[i] - h[next]) * (k % 2 ? Math.SQRT1_2 : 1) * (0.75 + 0.5 * hash(i, k + 8 * round, 7))
      if (drop > steepest) {
        steepest = drop
        receiver[i] = next
        distM[i] = g.cellM * (k % 2 ? Math.SQRT2 : 1)
      }
    }
  }
  for (let j = order.length - 1; j >= 0; j--) areaM2[receiver[order[j]]] += areaM2[order[j]]
  return { order, receiver, distM, areaM2 }
}

/** One implicit step of uplift and incision, by rivers draining up to `maxAreaM2`; returns the cells low to high. */
function erode(
  g: Grid,
  years: number,
  uplift: Float64Array,
  rock: Float64Array,
  round: number,
  maxAreaM2: number,
) {
  const { h } = g
  const { order, receiver, distM, areaM2 } = drain(g, round)
  for (const i of order) {
    const root4 = Math.sqrt(Math.sqrt(Math.min(areaM2[i], maxAreaM2)))
    const cut = (ERODIBILITY * (1.5 - rock[i]) * years * root4 * Math.sqrt(root4)) / distM[i]
    h[i] = (h[i] + uplift[i] * years + cut * h[receiver[i]]) / (1 + cut)
  }
  return order
}

/** Landslides: lowers cells, in the given order, to the slope limit above their neighbours (upwind: Sethian 1996). */
function slide(g: Grid, order: Int32Array, maxSlope: Float64Array): void {
  const { n, h } = g
  for (const i of order) {
    const a = Math.min(h[i - 1], h[i + 1]),
      b = Math.min(h[i - n], h[i + n])
    const rise = maxSlope[i] * g.cellM,
      gap = Math.abs(a - b)
    const limit =
      gap < rise ? (a + b + Math.sqrt(2 * rise * rise - gap * gap)) / 2 : Math.min(a, b) + rise
    h[i] = Math.min(h[i], limit)
  }
}

/** Lets uplift, rivers and landslides work against each other for a number of steps. */
function incise(g: Grid, steps: number, yearsPerStep: number): Grid {
  const uplift = sample(g.n, upliftShare).map((share) => share * UPLIFT_M_PER_YR)
  const rock = sample(g.n, rockStrength)
  const maxSlope = rock.map((strength) => WEAK_SLOPE + (STRONG_SLOPE - WEAK_SLOPE) * strength)
  for (let step = 0; step < steps; step++) {
    const order = erode(g, yearsPerStep, uplift, rock, step, Infinity)
    slide(g, order, maxSlope)
    creep(g, 0.15)
  }
  return g
}

/** One pass of soil creep: each land cell moves by `share` towards the (isotropic) mean of its neighbours. */
function creep(g: Grid, share: number): void {
  const { n, h } = g
  const old = Float64Array.from(h)
  for (let i = n + 1; i < n * n - n - 1; i++) {
    if (g.sea[i]) continue
    const sides = old[i - 1] + old[i + 1] + old[i - n] + old[i + n]
    const corners = old[i - n - 1] + old[i - n + 1] + old[i + n - 1] + old[i + n + 1]
    h[i] = old[i] + share * ((4 * sides + corners) / 20 - old[i])
  }
}

/** Rockfall: where two cells differ by more than the slope limit allows, a part of the excess moves downhill. */
function collapse(g: Grid, maxSlope: Float64Array, passes: number): void {
  const { n, h } = g
  for (let pass = 0; pass < passes; pass++) {
    const old = Float64Array.from(h)
    for (let i = n + 1; i < n * n - n - 1; i++) {
      if (g.sea[i]) continue
      for (let k = 0; k < 8; k++) {
        const next = i + DY[k] * n + DX[k]
        const excess = old[i] - old[next] - maxSlope[i] * g.cellM * (k % 2 ? Math.SQRT2 : 1)
        if (excess <= 0) continue
        h[i] -= 0.1 * excess
        if (!g.sea[next]) h[next] += 0.1 * excess
      }
    }
  }
}

/** Ice flux (m2 of snowfield) through each cell: gained above the snowline, melted below it. */
function iceFlux(g: Grid, d: Drainage): Float64Array {
  const flux = new Float64Array(g.n * g.n)
  for (let j = d.order.length - 1; j >= 0; j--) {
    const i = d.order[j]
    const balance = clamp((g.h[i] - SNOWLINE_M) / 500, -3, 1)
    const widthM = balance > 0 ? g.cellM : 300 + 2 * halfFloorM(flux[i])
    flux[i] = Math.max(0, flux[i] + balance * widthM * g.cellM)
    flux[d.receiver[i]] += flux[i]
  }
  return flux
}

/** Half the width of the flat floor a glacier leaves, growing slowly with its flux. */
const halfFloorM = (fluxM2: number): number => 3.6 * Math.sqrt(Math.sqrt(fluxM2))

/** Levels the uppermost points of a trough into the round floor of a cirque. */
function hollowCirque(head: TroughPoint): void {
  let lip = head
  for (let k = 0; k < CIRQUE_POINTS && lip.down; k++) lip = lip.down
  for (let p = head; p !== lip && p.down; p = p.down) {
    p.floorM = Math.min(p.floorM, lip.floorM)
    p.halfFloorM = Math.max(p.halfFloorM, CIRQUE_RADIUS_M)
  }
}

/** Steepest gradient of a trough floor: gentler under big glaciers, in long basins divided by rock steps. */
function steepestFloor(p: TroughPoint): number {
  const narrowness = 50 / p.halfFloorM
  const step = smoothstep(0, 0.25, fractal(p.col / 60, p.row / 60, 2, 163))
  return (0.05 + 0.8 * narrowness * narrowness) * (0.6 + 3 * step)
}

/** Centre lines of all troughs, low to high: smoothed river lines, cut down to the gradients ice leaves. */
function traceTroughs(g: Grid): TroughPoint[] {
  const d = drain(g, 0)
  const flux = iceFlux(g, d)
  const at = new Map<number, TroughPoint>()
  for (const i of d.order) {
    if (flux[i] < GLACIER_MIN_FLUX_M2 || g.h[i] < TROUGH_LOWEST_M) continue
    const col = i % g.n,
      row = Math.floor(i / g.n)
    const halfM = halfFloorM(flux[i]) * (1 + 0.4 * fractal(col / 40, row / 40, 2, 151))
    const down = at.get(d.receiver[i])
    const p: TroughPoint = { col, row, floorM: g.h[i], halfFloorM: halfM, down, up: undefined }
    at.set(i, p)
    if (down && (!down.up || down.up.halfFloorM < p.halfFloorM)) down.up = p
  }
  const troughs = [...at.values()]
  troughs.filter((p) => !p.up).forEach(hollowCirque)
  for (let pass = 0; pass < 30; pass++) {
    for (const p of troughs) {
      const { up, down } = p
      if (!down) continue
      if (up && pass < 12) {
        p.col = 0.5 * p.col + 0.25 * (down.col + up.col)
        p.row = 0.5 * p.row + 0.25 * (down.row + up.row)
      }
      if (up) p.floorM = 0.5 * p.floorM + 0.25 * (down.floorM + up.floorM)
      p.floorM = clamp(p.floorM, down.floorM + 0.05, down.floorM + steepestFloor(p) * g.cellM)
    }
  }
  return troughs
}

/** Height of a trough's side above its floor: flat, then a parabola that ends in a straight rock wall. */
function wallM(outM: number): number {
  const bendM = 180,
    steepest = 1.25
  const curvedM = Math.min(outM, steepest * bendM)
  return (curvedM * curvedM) / (2 * bendM) + steepest * (outM - curvedM)
}

/** Cuts the troughs into the ground: every cell is lowered to the lowest trough side that passes over it. */
function carve(g: Grid, troughs: TroughPoint[], reachM: number): void {
  const { n, h } = g
  const reach = reachM / g.cellM
  for (const p of troughs) {
    for (let r = Math.max(1, Math.ceil(p.row - reach)); r <= Math.min(n - 2, p.row + reach); r++) {
      for (
        let c = Math.max(1, Math.ceil(p.col - reach));
        c <= Math.min(n - 2, p.col + reach);
        c++
      ) {
        const i = r * n + c
        if (h[i] <= p.floorM || g.sea[i]) continue
        const dx = c - p.col,
          dy = r - p.row
        const outM = Math.sqrt(dx * dx + dy * dy) * g.cellM - p.halfFloorM
        h[i] = Math.min(h[i], p.floorM + wallM(Math.max(0, outM)))
      }
    }
  }
}

/** Overdeepens the flattest long reach of high trough behind a rock bar; returns the points of the lake bed. */
function deepenLake(troughs: TroughPoint[]): TroughPoint[] {
  let bed: TroughPoint[] = [],
    leastRiseM = Infinity
  for (const outlet of troughs) {
    if (outlet.floorM < LAKE_LOWEST_M) continue
    const reach = [outlet]
    for (let p = outlet.up; p && reach.length < LAKE_POINTS; p = p.up) reach.push(p)
    const riseM = reach[reach.length - 1].floorM - outlet.floorM
    if (reach.length === LAKE_POINTS && riseM < leastRiseM) [bed, leastRiseM] = [reach, riseM]
  }
  const sillM = bed[0].floorM
  bed.forEach((p, k) => (p.floorM = sillM - Math.min(LAKE_DEPTH_M, 2 * k)))
  return bed
}

/** Adds sharp ribs and hollows of up to `amplitudeM` to steep rock, and little of that to valley floors. */
function roughen(g: Grid, amplitudeM: number, wavelengthM: number, octaves: number): void {
  const { n, h, sea } = g
  const old = Float64Array.from(h)
  const scale = g.cellM / wavelengthM
  for (let i = n + 1; i < n * n - n - 1; i++) {
    if (sea[i]) continue
    const dx = (old[i + 1] - old[i - 1]) / (2 * g.cellM),
      dy = (old[i + n] - old[i - n]) / (2 * g.cellM)
    const share = 0.05 + 0.95 * smoothstep(0.15, 0.6, Math.sqrt(dx * dx + dy * dy))
    const rib =
      0.7 - 2 * Math.abs(fractal((i % n) * scale, Math.floor(i / n) * scale, octaves, 181))
    h[i] = Math.max(0.5, old[i] + amplitudeM * share * rib)
  }
}

/** Makes the island: rivers on three ever finer grids, then ice, torrents, rock and water. */
export function makeMassif(): Massif {
  const coarse = incise(makeGrid(CELLS / 4), 120, 50_000)
  const middle = incise(makeGrid(CELLS / 2, coarse), 35, 20_000)
  const g = incise(makeGrid(CELLS, middle), 14, 10_000)

  const rock = sample(CELLS, rockStrength)
  const cliffs = rock.map((strength) => 0.9 + 0.45 * strength)
  const troughs = traceTroughs(g)
  const lakeBed = deepenLake(troughs)
  carve(g, troughs, TROUGH_REACH_M)
  roughen(g, 65, 700, 4)
  collapse(g, cliffs, 30)
  const still = new Float64Array(CELLS * CELLS)
  for (let step = 0; step < 6; step++) {
    erode(g, 8_000, still, rock, step, GULLY_MAX_AREA_M2)
    creep(g, 0.1)
  }
  roughen(g, 5, 180, 3)
  carve(g, lakeBed, LAKE_REACH_M)
  collapse(g, cliffs, 10)
  g.h.forEach((h, i) => (g.h[i] = Math.round(h / HEIGHT_STEP_M) * HEIGHT_STEP_M))
  fillDepressions(g, 0)
  return { cols: CELLS, rows: CELLS, cellM: g.cellM, heights: Float32Array.from(g.h) }
}
