import L from 'leaflet'
import { reliefWorker } from '../state/site'

/**
 * The built-in base map: hillshade, height tint and contours of the terrain itself, painted
 * tile by tile in a worker. Needs no network.
 */
export class ReliefLayer extends L.GridLayer {
  /** Metres in a unit of the contours. */
  private metresPerUnit = 1

  setMetresPerUnit(metres: number): void {
    if (metres === this.metresPerUnit) return
    this.metresPerUnit = metres
    this.redraw()
  }

  override createTile(coords: L.Coords, done: L.DoneCallback): HTMLElement {
    const canvas = L.DomUtil.create('canvas')
    const size = Math.round(this.getTileSize().x * Math.min(2, window.devicePixelRatio))
    canvas.width = size
    canvas.height = size
    const tile = { x: coords.x, y: coords.y, zoom: coords.z }
    reliefWorker.paint(tile, size, this.metresPerUnit).then(
      (pixels) => {
        const bytes = new Uint8ClampedArray(pixels)
        canvas.getContext('2d')?.putImageData(new ImageData(bytes, size, size), 0, 0)
        done(undefined, canvas)
      },
      (error: Error) => done(error, canvas),
    )
    return canvas
  }
}
