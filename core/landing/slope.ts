const RAD_TO_DEG = 180 / Math.PI

/** Slope and roughness of every cell. */
export interface GroundShape {
  /** Degrees from the level; NaN beside missing data. */
  readonly slopeDeg: Float32Array
  /**
   * Roughness, metres: how far the nine heights of a cell and its neighbours lie from the plane
   * that fits them best, root of the mean square. NaN beside missing data.
   */
  readonly roughnessM: Float32Array
}

/**
 * Slope by Horn's weights and roughness over 3 x 3 cells. At the border the outermost cells stand
 * for those beyond.
 * Source: B. K. P. Horn, Hill shading and the reflectance map, Proc. IEEE 69 (1981) 14; the
 * roughness is own: the residual of the least-squares plane, in closed form.
 * @param cellM true ground length of a cell edge
 */
export function groundShape(
  heights: Float32Array,
  cols: number,
  rows: number,
  cellM: number,
): GroundShape {
  const slopeDeg = new Float32Array(heights.length)
  const roughnessM = new Float32Array(heights.length)
  const perStep = 1 / (8 * cellM)
  for (let row = 0, i = 0; row < rows; row++) {
    const up = row > 0 ? -cols : 0
    const down = row < rows - 1 ? cols : 0
    for (let col = 0; col < cols; col++, i++) {
      const left = col > 0 ? -1 : 0
      const right = col < cols - 1 ? 1 : 0
      const nw = heights[i + up + left]
      const n = heights[i + up]
      const ne = heights[i + up + right]
      const w = heights[i + left]
      const c = heights[i]
      const e = heights[i + right]
      const sw = heights[i + down + left]
      const s = heights[i + down]
      const se = heights[i + down + right]
      // At the border a cell stands for its missing neighbour, over half the distance.
      const spanX = left !== 0 && right !== 0 ? perStep : 2 * perStep
      const spanY = up !== 0 && down !== 0 ? perStep : 2 * perStep
      const east = (ne + 2 * e + se - nw - 2 * w - sw) * spanX
      const north = (nw + 2 * n + ne - sw - 2 * s - se) * spanY
      // Horn's weights leave the cell itself out; where it is missing there is no slope either.
      slopeDeg[i] = Math.atan(Math.sqrt(east * east + north * north)) * RAD_TO_DEG + (c - c)
      // About the middle cell, so that the squares stay small.
      const [a, b, d, f] = [nw - c, n - c, ne - c, w - c]
      const [g, h, k, l] = [e - c, sw - c, s - c, se - c]
      const sum = a + b + d + f + g + h + k + l
      const squares = a * a + b * b + d * d + f * f + g * g + h * h + k * k + l * l
      const across = d + g + l - a - f - h
      const along = a + b + d - h - k - l
      const residual = squares - (sum * sum) / 9 - (across * across + along * along) / 6
      roughnessM[i] = Math.sqrt(Math.max(0, residual) / 9)
    }
  }
  return { slopeDeg, roughnessM }
}
