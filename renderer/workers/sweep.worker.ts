import { expose, transfer } from 'comlink'
import { aboveGround } from '../../core/coverage/clearHeights'
import { horizonFrom, type Horizon } from '../../core/coverage/horizon'
import type { ClearFields } from '../../core/coverage/radialSweep'
import type { SweepSettings } from '../../core/coverage/fan'
import { ClearCounts } from '../../core/coverage/shares'
import { SweepThread } from '../../core/coverage/sweepThread'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import { classRaster, shadingPolygons, shadingRgba } from '../../core/exchange/shadingFiles'
import { zipPicture } from '../../core/exchange/georeference'
import { isolines, type Isoline } from '../../core/picture/isolines'
import type { GridFrame } from '../../core/terrain/grid'

/** A thread of the window's pool; it also works on finished fields, off the window's thread. */
export class WindowThread extends SweepThread {
  count(fields: ClearFields, errorM: number): ClearCounts {
    return ClearCounts.of(fields, errorM)
  }

  /** The horizon over the ground this thread has. */
  horizon(settings: SweepSettings, northRad: number): Horizon {
    if (!this.ground) throw new Error('a horizon was asked for before there was a ground')
    return horizonFrom(this.ground, settings, northRad)
  }

  isolines(field: Float32Array, frame: GridFrame, values: readonly number[]): Isoline[] {
    return isolines(field, frame, values)
  }

  /** A clear-height field as a GeoTIFF. */
  fieldFile(heightsM: Float32Array, frame: GridFrame): Uint8Array {
    return handOver(writeGeoTiff(aboveGround(heightsM), frame))
  }

  /** The shading as a picture of one pixel a cell, packed with its georeference. */
  async pictureFile(
    fields: ClearFields,
    frame: GridFrame,
    flyingHeightM: number,
    errorM: number,
  ): Promise<Uint8Array> {
    const { cols, rows } = frame
    const canvas = new OffscreenCanvas(cols, rows)
    const pixels = shadingRgba(fields, frame, flyingHeightM, errorM)
    canvas.getContext('2d')?.putImageData(new ImageData(pixels, cols, rows), 0, 0)
    const png = new Uint8Array(await (await canvas.convertToBlob()).arrayBuffer())
    return handOver(zipPicture(png, frame))
  }

  /** The shading as GeoJSON polygons. */
  polygonFile(
    fields: ClearFields,
    frame: GridFrame,
    flyingHeightM: number,
    errorM: number,
  ): Uint8Array {
    const classes = classRaster(fields, flyingHeightM, errorM)
    const areas = shadingPolygons(classes, frame, flyingHeightM)
    return handOver(new TextEncoder().encode(JSON.stringify(areas)))
  }
}

function handOver(bytes: Uint8Array): Uint8Array {
  return transfer(bytes, [bytes.buffer])
}

expose(new WindowThread())
