import { PilotError, throwIfCancelled } from '../../core/errors'
import { crsOfRow, type CrsLookup, type EpsgRow } from '../../core/geodesy/crs'
import type { LatLon } from '../../core/geodesy/earth'
import { Relief } from '../../core/picture/relief'
import { gridView } from '../../core/picture/view'
import { surfaceModelOn, type SurfaceModel } from '../../core/surface/model'
import { standOnGrid, type Obstacle } from '../../core/surface/obstacle'
import { buildSurface, type Surface, type Vegetation } from '../../core/surface/surface'
import { GridLocator, type GridFrame, type TerrainGrid } from '../../core/terrain/grid'
import { inspectFile, type FileReport } from '../../core/terrain/inspect'
import { lookAt, type TerrainLook } from '../../core/terrain/look'
import type { SiteWish } from '../../core/terrain/siteFrame'
import type { TerrainSource } from '../../core/terrain/source'
import { summaryOf, type TerrainSummary } from '../../core/terrain/summary'
import { lacks, TerrainFile, type Assumptions, type Lack } from '../../core/terrain/terrainFile'
import type { FileIdentity } from '../../core/terrain/fingerprint'
import { TerrainSet, type ReadOptions } from '../../core/terrain/terrainSet'
import { errorsAsData, type Outcome } from './outcome'
import { say } from '../../core/words/say'
import { inSharedMemory, sharedFloats } from './sharedMemory'
import { exposeSpeaking } from './threadLanguage'

/** What is to be opened, and what the pilot says of it. */
export interface TerrainRequest {
  readonly sources: readonly TerrainSource[]
  readonly assume: Assumptions
  /** Where the table of coordinate systems is. */
  readonly epsgUrl: string
}

/** A file that cannot be used, and whether a word of the pilot would help. */
export interface Refusal {
  readonly name: string
  readonly sentence: string
  readonly lacks: Lack | null
}

/** All of the ground as a small picture. */
export interface Overview {
  readonly frame: GridFrame
  /** RGBA bytes, a pixel a cell. */
  readonly pixels: Uint8ClampedArray<ArrayBuffer>
}

export interface Looked {
  /** Null where no file can be used as it is. */
  readonly look: (Omit<TerrainLook, 'overview'> & { readonly overview: Overview }) | null
  readonly refused: readonly Refusal[]
}

export interface ReadTerrain {
  readonly grid: TerrainGrid
  readonly summary: TerrainSummary
  /** The files it was read from. */
  readonly files: readonly FileIdentity[]
}

/** Which part of files is read, and how. */
export type SiteRequest = SiteWish & { readonly fillUpToCells?: number }

type EpsgTable = Record<string, EpsgRow>
/** Files opened at a time, and looked into at most. */
const AT_ONCE = 8
const MOST_DESCRIBED = 12

let running = new AbortController()
let table: Promise<EpsgTable> | undefined
/** The files that were opened last. */
let opened: { readonly set: TerrainSet; readonly lookUpCrs: CrsLookup } | undefined

const api = {
  /**
   * Opens files and finds out what they are; from then on sites are read from them. Whatever
   * reading is under way is cancelled.
   * @param around where a window would best lie, if anybody knows
   */
  look(
    request: TerrainRequest,
    around: LatLon | undefined,
    onProgress: (share: number) => void,
  ): Promise<Outcome<Looked>> {
    const signal = startAnew()
    return errorsAsData(async () => {
      const lookUpCrs = lookUpIn(request.epsgUrl)
      const { files, refused } = await openFiles(request, lookUpCrs, signal)
      const inside = await lookInto(files, signal, (share) => onProgress(share / 2))
      refused.push(...inside.refused)
      const sound = files.filter((file) => !inside.damaged.has(file))
      if (sound.length === 0) {
        opened = undefined
        return { look: null, refused }
      }
      const set = new TerrainSet(sound)
      const look = await lookAt(set, inside.reports, {
        lookUpCrs,
        around,
        signal,
        onProgress: (share) => onProgress((1 + share) / 2),
      })
      // Only now: where this look fails or is stopped, the one before still counts.
      opened = { set, lookUpCrs }
      return { look: { ...look, overview: pictureOf(look.overview) }, refused }
    })
  },

  /** The grid that a site would have. */
  frame(wish: SiteWish): Promise<Outcome<GridFrame>> {
    return errorsAsData(async () => {
      const { set, lookUpCrs } = atHand()
      return set.frame(wish, lookUpCrs)
    })
  },

  /**
   * Reads a site of the files looked at. Where the page is isolated the heights come in shared
   * memory, so that no worker needs a copy of its own.
   */
  read(wish: SiteRequest, onProgress: (share: number) => void): Promise<Outcome<ReadTerrain>> {
    const signal = startAnew()
    return errorsAsData(async () => {
      const { set, lookUpCrs } = atHand()
      return readSite(set, { ...wish, lookUpCrs, signal, onProgress })
    })
  },

  /** Reads a site of files that need no looking at. */
  openAndRead(
    request: TerrainRequest,
    wish: SiteRequest,
    onProgress: (share: number) => void,
  ): Promise<Outcome<ReadTerrain>> {
    const signal = startAnew()
    return errorsAsData(async () => {
      const lookUpCrs = lookUpIn(request.epsgUrl)
      const set = await openAll(request, lookUpCrs, signal)
      return readSite(set, { ...wish, lookUpCrs, signal, onProgress })
    })
  },

  /** Reads further files as the surface model of the terrain. */
  readModel(
    request: TerrainRequest,
    terrain: TerrainGrid,
    onProgress: (share: number) => void,
  ): Promise<Outcome<SurfaceModel>> {
    const signal = startAnew()
    return errorsAsData(async () => {
      const set = await openAll(request, lookUpIn(request.epsgUrl), signal)
      const model = await surfaceModelOn(terrain, set, { signal, onProgress })
      return { ...model, heights: inSharedMemory(model.heights) }
    })
  },

  /** Puts together what stands on a terrain. */
  buildSurface(
    terrain: TerrainGrid,
    vegetation: Vegetation,
    model: Float32Array | null,
    obstacles: readonly Obstacle[],
  ): Surface {
    const locator = new GridLocator(terrain)
    const standing = obstacles.map((obstacle) => standOnGrid(obstacle, locator))
    const { bare, covered } = buildSurface(terrain, vegetation, model, standing)
    const sharedBare = inSharedMemory(bare)
    return { bare: sharedBare, covered: covered === bare ? sharedBare : inSharedMemory(covered) }
  },
  cancel(): void {
    running.abort()
  },
}

/** Cancels the reading under way; the signal of the next one. */
function startAnew(): AbortSignal {
  running.abort()
  running = new AbortController()
  return running.signal
}

async function readSite(set: TerrainSet, options: ReadOptions): Promise<ReadTerrain> {
  const grid = await set.read({ ...options, allocate: sharedFloats })
  const files = set.files.map(({ facts: { name, sizeBytes, fingerprint } }) => ({
    name,
    sizeBytes,
    fingerprint,
  }))
  return { grid, summary: summaryOf(grid), files }
}

function pictureOf({ cols, rows, cellM, westM, northM, crs, ...rest }: TerrainGrid): Overview {
  const frame = { cols, rows, cellM, westM, northM, crs }
  const pixels = new Uint8ClampedArray(cols * rows * 4)
  new Relief({ ...frame, ...rest }).paint(gridView(frame, 1), pixels, 1)
  return { frame, pixels }
}

function atHand() {
  if (!opened) throw new PilotError(say('terrainWorker.terrainFilesNoLonger'))
  return opened
}

/** Opens every file that can be opened; the others come with their sentences. */
async function openFiles(
  { sources, assume }: TerrainRequest,
  lookUpCrs: CrsLookup,
  signal: AbortSignal,
): Promise<{ files: TerrainFile[]; refused: Refusal[] }> {
  const files: TerrainFile[] = []
  const refused: Refusal[] = []
  for (let from = 0; from < sources.length; from += AT_ONCE) {
    throwIfCancelled(signal)
    const some = sources.slice(from, from + AT_ONCE)
    const answers = await Promise.all(
      some.map(async (source): Promise<TerrainFile | Refusal> => {
        try {
          return await TerrainFile.open(source, { lookUpCrs, assume, signal })
        } catch (error) {
          return refusalOf(source.name, error)
        }
      }),
    )
    for (const answer of answers) {
      if (answer instanceof TerrainFile) files.push(answer)
      else refused.push(answer)
    }
  }
  return { files, refused }
}

/** Looks into the first files; more of a set are alike. */
async function lookInto(
  files: readonly TerrainFile[],
  signal: AbortSignal,
  onProgress: (share: number) => void,
): Promise<{ reports: FileReport[]; damaged: Set<TerrainFile>; refused: Refusal[] }> {
  const some = files.slice(0, MOST_DESCRIBED)
  const reports: FileReport[] = []
  const damaged = new Set<TerrainFile>()
  const refused: Refusal[] = []
  for (const [i, file] of some.entries()) {
    throwIfCancelled(signal)
    try {
      reports.push(await inspectFile(file, { signal }))
    } catch (error) {
      refused.push(refusalOf(file.facts.name, error))
      damaged.add(file)
    }
    onProgress((i + 1) / some.length)
  }
  return { reports, damaged, refused }
}

/** A refusal by its error; other errors than sentences for the pilot are thrown on. */
function refusalOf(name: string, error: unknown): Refusal {
  if (!(error instanceof PilotError)) throw error
  return { name, sentence: error.message, lacks: lacks(error) }
}

/** Opens files of which none may be missing. */
async function openAll(
  request: TerrainRequest,
  lookUpCrs: CrsLookup,
  signal: AbortSignal,
): Promise<TerrainSet> {
  const { files, refused } = await openFiles(request, lookUpCrs, signal)
  if (refused.length > 0) throw new PilotError(refused[0].sentence)
  return new TerrainSet(files)
}

function lookUpIn(epsgUrl: string): CrsLookup {
  return async (epsg) => {
    table ??= fetchTable(epsgUrl)
    const row = (await table)[epsg]
    return row && crsOfRow(epsg, row)
  }
}

/** The table of coordinate systems; one that did not come is asked for again next time. */
async function fetchTable(url: string): Promise<EpsgTable> {
  try {
    const answer = await fetch(url)
    if (!answer.ok) throw new Error(`answered ${answer.status}`)
    return (await answer.json()) as EpsgTable
  } catch (cause) {
    table = undefined
    throw new PilotError(say('terrainWorker.tableCoordinateSystemsCould'), { cause })
  }
}

export type TerrainWorker = typeof api
exposeSpeaking(api)
