import { say } from '../../core/words/say'
import { createRequire } from 'node:module'
import { createCanvas, GlobalFonts, ImageData, type SKRSContext2D } from '@napi-rs/canvas'
import type { ClearHeights } from '../../core/coverage/clearHeights'
import { COVERAGE_CLASSES, type CoverageClass } from '../../core/coverage/shares'
import type { ClearFields } from '../../core/coverage/radialSweep'
import { shadingRgba } from '../../core/exchange/shadingFiles'
import {
  cssColour,
  LAUNCH_COLOUR,
  PATTERN_PIXELS,
  PATTERN_WORDS,
  VEILS,
} from '../../core/picture/colours'
import { contourInterval, Relief } from '../../core/picture/relief'
import { paintShading } from '../../core/picture/shading'
import { cellsOfView, gridView } from '../../core/picture/view'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import type { CoverageOptions } from './coverageCommand'

/** The map's longer side is brought between these, pixels. */
const LEAST_SIDE = 1100
const MOST_SIDE = 2400
const LEGEND_HEIGHT = 196
const MARGIN = 24
const INK = '#22252b'
const PAPER = '#fbfaf7'

/** Hillshade, shading, launch point and legend as a PNG. */
export async function coveragePicture(
  terrain: TerrainGrid,
  fields: ClearHeights,
  counts: Record<CoverageClass, number>,
  options: CoverageOptions,
  errorM: number,
): Promise<Uint8Array> {
  registerFonts()
  const side = Math.max(terrain.cols, terrain.rows)
  const view = gridView(terrain, Math.min(MOST_SIDE / side, Math.max(1, LEAST_SIDE / side)))
  const width = Math.max(view.width, LEAST_SIDE)
  const canvas = createCanvas(width, view.height + LEGEND_HEIGHT)
  const context = canvas.getContext('2d')
  context.fillStyle = PAPER
  context.fillRect(0, 0, width, view.height + LEGEND_HEIGHT)

  const relief = new Uint8ClampedArray(view.width * view.height * 4)
  new Relief(terrain).paint(view, relief, 1)
  const veil = new Uint32Array(view.width * view.height)
  paintShading(veil, cellsOfView(terrain, view), view, fields, options.flyingHeight, errorM)
  for (const bytes of [relief, new Uint8ClampedArray(veil.buffer)]) {
    const layer = createCanvas(view.width, view.height)
    layer.getContext('2d').putImageData(new ImageData(bytes, view.width, view.height), 0, 0)
    context.drawImage(layer, 0, 0)
  }

  const launch = new GridLocator(terrain).toGrid(fields.launch)
  drawLaunch(
    context,
    ((launch.col + 0.5) * view.width) / terrain.cols,
    ((launch.row + 0.5) * view.height) / terrain.rows,
  )
  context.translate(0, view.height)
  drawLegend(context, terrain, fields, counts, options, view.pixelM)
  return canvas.encode('png')
}

/** The shading alone, one pixel a cell, transparent where there is no answer. */
export async function shadingPicture(
  terrain: TerrainGrid,
  fields: ClearFields,
  flyingHeightM: number,
  errorM: number,
): Promise<Uint8Array> {
  const { cols, rows } = terrain
  const canvas = createCanvas(cols, rows)
  const pixels = shadingRgba(fields, terrain, flyingHeightM, errorM)
  canvas.getContext('2d').putImageData(new ImageData(pixels, cols, rows), 0, 0)
  return canvas.encode('png')
}

function drawLaunch(context: SKRSContext2D, x: number, y: number): void {
  context.beginPath()
  context.arc(x, y, 9, 0, 2 * Math.PI)
  context.fillStyle = cssColour(LAUNCH_COLOUR)
  context.fill()
  context.lineWidth = 3
  context.strokeStyle = '#fff'
  context.stroke()
}

function drawLegend(
  context: SKRSContext2D,
  terrain: TerrainGrid,
  { launch }: ClearHeights,
  counts: Record<CoverageClass, number>,
  options: CoverageOptions,
  pixelM: number,
): void {
  const { radio } = options
  context.fillStyle = INK
  context.font = '600 20px Barlow'
  context.fillText(
    `Coverage at ${options.flyingHeight} m above ground from ${launch.latDeg.toFixed(5)}, ${launch.lonDeg.toFixed(5)}`,
    MARGIN,
    36,
  )
  context.font = '400 15px Barlow'
  context.fillText(
    `${terrain.name} · ${terrain.crs.name} · antenna ${options.antennaHeight} m on ground ${launch.groundM.toFixed(0)} m · ${radio.frequencyMhz} MHz · k ${radio.kFactor.toFixed(3)} · Fresnel ${radio.fresnelFraction}`,
    MARGIN,
    62,
  )
  const total = Object.values(counts).reduce((sum, count) => sum + count, 0)
  COVERAGE_CLASSES.forEach((name, i) => {
    const x = MARGIN + i * 208
    drawSwatch(context, x, 82, name)
    context.fillStyle = INK
    context.font = '600 16px Barlow'
    context.fillText(say(VEILS[name].label), x + 52, 96)
    context.font = '400 15px Barlow'
    context.fillText(`${((100 * counts[name]) / total).toFixed(1)} % of the area`, x + 52, 114)
  })
  drawScaleBar(context, MARGIN, 146, pixelM)
  context.fillStyle = INK
  context.font = '400 14px Barlow'
  context.fillText(`Contours every ${contourInterval(pixelM, 1)} m`, MARGIN + 220, 150)
  if (total < terrain.heights.length) {
    context.fillText('Unshaded: no answer, not counted', MARGIN + 440, 150)
  }
  context.fillText(
    'Terrain models miss trees, wires and buildings; a prediction is no promise. Keep to local aviation and radio rules.',
    MARGIN,
    178,
  )
}

function drawSwatch(context: SKRSContext2D, x: number, y: number, name: CoverageClass): void {
  const [width, height] = [42, 32]
  const words = new Uint32Array(width * height)
  const first = COVERAGE_CLASSES.indexOf(name) * PATTERN_PIXELS * PATTERN_PIXELS
  for (let i = 0; i < words.length; i++) {
    const [px, py] = [i % width, Math.floor(i / width)]
    words[i] = PATTERN_WORDS[first + (py % PATTERN_PIXELS) * PATTERN_PIXELS + (px % PATTERN_PIXELS)]
  }
  const sample = createCanvas(width, height)
  const pixels = new ImageData(new Uint8ClampedArray(words.buffer), width, height)
  sample.getContext('2d').putImageData(pixels, 0, 0)
  context.fillStyle = '#dcd8ce'
  context.fillRect(x, y, width, height)
  context.drawImage(sample, x, y)
  context.strokeStyle = INK
  context.lineWidth = 1
  context.strokeRect(x + 0.5, y + 0.5, width - 1, height - 1)
}

function drawScaleBar(context: SKRSContext2D, x: number, y: number, pixelM: number): void {
  const lengthM = [100, 200, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000].findLast(
    (length) => length / pixelM <= 130,
  )
  if (lengthM === undefined) return
  context.fillStyle = INK
  context.fillRect(x, y, lengthM / pixelM, 4)
  context.font = '400 14px Barlow'
  context.fillText(
    lengthM < 1000 ? `${lengthM} m` : `${lengthM / 1000} km`,
    x + lengthM / pixelM + 8,
    y + 6,
  )
}

function registerFonts(): void {
  const require = createRequire(import.meta.url)
  for (const weight of [400, 600]) {
    GlobalFonts.registerFromPath(
      require.resolve(`@fontsource/barlow/files/barlow-latin-${weight}-normal.woff2`),
      'Barlow',
    )
  }
}
