import type { FeatureCollection, MultiPolygon, Position } from 'geojson'
import { normalizeLonDeg } from '../geodesy/geodesic'
import { GridLocator, type GridFrame } from '../terrain/grid'

/** Longest straight stretch without a point, cells: straight on the grid is curved on the globe. */
const LONGEST_STRETCH = 32
/** A tenth of a metre on cells of ordinary size; see RFC 7946, 11.2. */
const DECIMALS = 7

/** Directions along the borders of cells: east, south, west, north. */
const ALONG = [
  [1, 0],
  [0, 1],
  [-1, 0],
  [0, -1],
] as const

/**
 * The areas of a raster of classes as GeoJSON (RFC 7946), one feature a class: polygons that
 * follow the borders of the cells exactly. Cells of a class that only touch at a corner are apart.
 * @param classes an index into names for every cell, any other number for no class
 * @param properties what else the features say, by class
 */
export function classPolygons(
  classes: Uint8Array,
  frame: GridFrame,
  names: readonly string[],
  properties: (name: string) => object,
): FeatureCollection<MultiPolygon> {
  const tracer = new BorderTracer(classes, names.length, frame)
  const polygons = names.map((): Position[][][] => [])
  const polygonOfRegion = new Map<number, Position[][]>()
  tracer.trace((region, ring) => {
    // The first ring of a region is met on its topmost row, so it is the outer one.
    const polygon = polygonOfRegion.get(region)
    if (polygon) {
      polygon.push(ring)
    } else {
      const begun = [ring]
      polygonOfRegion.set(region, begun)
      polygons[classes[region]].push(begun)
    }
  })
  return {
    type: 'FeatureCollection',
    features: names.flatMap((name, i) =>
      polygons[i].length === 0
        ? []
        : [
            {
              type: 'Feature',
              properties: { class: name, ...properties(name) },
              geometry: { type: 'MultiPolygon', coordinates: polygons[i] },
            },
          ],
    ),
  }
}

/** Walks the borders of the regions of equal class. A region is known by its first cell. */
class BorderTracer {
  private readonly regions: Int32Array
  private readonly locator: GridLocator

  constructor(
    private readonly classes: Uint8Array,
    private readonly classCount: number,
    private readonly frame: GridFrame,
  ) {
    this.regions = labelRegions(classes, frame)
    this.locator = new GridLocator(frame)
  }

  /** Calls back with every ring, those that begin farther north and west first. */
  trace(onRing: (region: number, ring: Position[]) => void): void {
    const { cols, rows } = this.frame
    const walkedTop = new Uint8Array(cols * rows)
    for (let row = 0, i = 0; row < rows; row++) {
      for (let col = 0; col < cols; col++, i++) {
        const region = this.regions[i]
        if (
          this.classes[i] >= this.classCount ||
          walkedTop[i] ||
          this.regionAt(col, row - 1) === region
        )
          continue
        onRing(region, this.walk(col, row, walkedTop))
      }
    }
  }

  /** One ring from the upper left corner of a cell, with the region on the right hand. */
  private walk(startCol: number, startRow: number, walkedTop: Uint8Array): Position[] {
    const { cols } = this.frame
    const region = this.regionAt(startCol, startRow)
    const corners: [number, number][] = [[startCol, startRow]]
    let [col, row, way, stretch] = [startCol, startRow, 0, 0]
    // (col, row) is the cell on the right hand, (x, y) the corner reached.
    let [x, y] = [startCol, startRow]
    do {
      if (way === 0) walkedTop[row * cols + col] = 1
      const [dx, dy] = ALONG[way]
      x += dx
      y += dy
      stretch++
      const [aheadCol, aheadRow] = [col + dx, row + dy]
      const [leftCol, leftRow] = [aheadCol + dy, aheadRow - dx]
      let turn = 0
      if (this.regionAt(aheadCol, aheadRow) !== region) {
        turn = 1
      } else if (this.regionAt(leftCol, leftRow) === region) {
        turn = 3
        ;[col, row] = [leftCol, leftRow]
      } else {
        ;[col, row] = [aheadCol, aheadRow]
      }
      if (turn !== 0 || stretch === LONGEST_STRETCH) {
        corners.push([x, y])
        stretch = 0
      }
      way = (way + turn) % 4
    } while (!(
      x === startCol &&
      y === startRow &&
      col === startCol &&
      row === startRow &&
      way === 0
    ))
    // Walked clockwise; RFC 7946 wants outer rings the other way round.
    return corners.reverse().map(([atX, atY]) => this.position(atX, atY))
  }

  private position(x: number, y: number): Position {
    const { latDeg, lonDeg } = this.locator.toLatLon({ col: x - 0.5, row: y - 0.5 })
    return [Number(normalizeLonDeg(lonDeg).toFixed(DECIMALS)), Number(latDeg.toFixed(DECIMALS))]
  }

  private regionAt(col: number, row: number): number {
    const { cols, rows } = this.frame
    return col < 0 || row < 0 || col >= cols || row >= rows ? -1 : this.regions[row * cols + col]
  }
}

/** The first cell, in reading order, of the region that each cell belongs to (four neighbours). */
function labelRegions(classes: Uint8Array, { cols, rows }: GridFrame): Int32Array {
  const parents = new Int32Array(classes.length)
  for (let i = 0; i < parents.length; i++) parents[i] = i
  const rootOf = (cell: number) => {
    let root = cell
    while (parents[root] !== root) root = parents[root] = parents[parents[root]]
    return root
  }
  const join = (a: number, b: number) => {
    const [one, other] = [rootOf(a), rootOf(b)]
    if (one < other) parents[other] = one
    else parents[one] = other
  }
  for (let row = 0, i = 0; row < rows; row++) {
    for (let col = 0; col < cols; col++, i++) {
      if (col > 0 && classes[i - 1] === classes[i]) join(i - 1, i)
      if (row > 0 && classes[i - cols] === classes[i]) join(i - cols, i)
    }
  }
  for (let i = 0; i < parents.length; i++) parents[i] = rootOf(i)
  return parents
}
