import { computed, effect, signal } from '@preact/signals'
import type { Polygon } from 'geojson'
import type { LatLon } from '../../core/geodesy/earth'
import { geodesic } from '../../core/geodesy/geodesic'
import { LANDED_HEIGHT_M, type PictureShares } from '../../core/landing/landing'
import type { FootWay } from '../../core/landing/footWay'
import type { LandingArea, LandingSetup } from '../../core/landing/landingArea'
import type { Surface } from '../../core/surface/surface'
import type { TerrainGrid } from '../../core/terrain/grid'
import type { FoundArea, LandingWorker } from '../workers/landing.worker'
import type { Outcome } from '../workers/outcome'
import { coverage } from './coverage'
import { HeldOrder } from './heldOrder'
import { computePaths } from './margin'
import { flownLine, placeOfSample } from './route'
import { changeSetup, setup } from './setup'
import { surface } from './surface'
import { terrain } from './terrain'
import { lateThread } from './threads'
import { say } from '../../core/words/say'
import { notice, trackWork } from './work'

/** Thread for work on the ground. */
export const landingThread = lateThread<LandingWorker>(
  () => new Worker(new URL('../workers/landing.worker.ts', import.meta.url), { type: 'module' }),
)

const landing = computed(() => setup.value.landing)

export function changeLanding(part: Partial<LandingSetup>, gesture: string | null = null): void {
  changeSetup({ landing: { ...setup.peek().landing, ...part } }, gesture)
}

/** True while areas are looked for and shown. */
export const isSearching = signal(false)

/** Areas found, for the ground they were found on. */
export const found = signal<{
  /** Number of the search: the thread knows its areas by it. */
  readonly generation: number
  readonly areas: readonly FoundArea[]
} | null>(null)
/** The area looked at, by its number. */
export const selected = signal<number | null>(null)
/** The order of those listed. A hand is taken off when they go. */
export const order = new HeldOrder(() => bestRows.peek().map(({ id }) => id))
const pictures = signal<{ readonly of: unknown; readonly shares: PictureShares[] } | null>(null)
const walks = signal<{
  readonly of: unknown
  readonly timesS: readonly (number | null)[]
} | null>(null)
/** Why there are no areas, or no ways on foot. */
export const searchProblem = signal<string | null>(null)
export const walkProblem = signal<string | null>(null)

/** The site of the thread, sent once searching begins. */
const searched = computed(() =>
  isSearching.value && terrain.value && surface.value
    ? { grid: terrain.value, stands: surface.value }
    : null,
)
interface Site {
  readonly grid: TerrainGrid
  readonly stands: Surface
}

let sent: Site | null = null

/** Gives the thread a site, unless it has it. */
export function useSite(site: Site): void {
  if (sent?.grid === site.grid && sent.stands === site.stands) return
  sent = site
  void landingThread().setSite(site.grid, site.stands)
}

const limits = computed(() => landing.value.limits)
const excluded = computed(() => landing.value.excluded)

let findSerial = 0
effect(() => {
  const site = searched.value
  const [its, out] = [limits.value, excluded.value]
  // What is shown of the last search would be taken for this one's.
  found.value = null
  order.lift('pointer')
  order.lift('keyboard')
  order.release()
  selected.value = null
  searchProblem.value = null
  const generation = ++findSerial
  if (!site) return
  useSite(site)
  const tracked = trackWork(say('landing.findingLandingAreas'), () => (isSearching.value = false))
  void landingThread()
    .find(generation, its, out)
    .then((outcome: Outcome<FoundArea[]>) => {
      tracked.end()
      if (generation !== findSerial) return
      searchProblem.value = outcome.kind === 'failed' ? outcome.sentence : null
      if (outcome.kind === 'done') found.value = { generation, areas: outcome.value }
    })
})

const video = computed(() => setup.value.video)

let pictureAbort: AbortController | null = null
effect(() => {
  const [areas, fields, link] = [found.value, coverage.value, video.value]
  pictureAbort?.abort()
  pictures.value = null
  if (!areas || !fields || fields.isPreview) return
  const abort = new AbortController()
  pictureAbort = abort
  void computePaths(fields, [link], LANDED_HEIGHT_M, abort.signal)
    .then(async ([paths]) => {
      const { sightM, fresnelM, edge } = fields
      const its = { sightM, fresnelM, edge }
      const shares = await landingThread().pictures(areas.generation, its, paths, link)
      if (shares && found.peek() === areas && !abort.signal.aborted) {
        pictures.value = { of: areas, shares }
      }
    })
    .catch((error: unknown) => {
      if (!(error instanceof DOMException && error.name === 'AbortError')) throw error
    })
})

const roadHead = computed(() => landing.value.roadHead)
const launch = computed(() => setup.value.launch)
const walkSettings = computed(() => landing.value.walk)
/** Counts the ways that are worked out, so that a way shown is asked for again. */
const walkVersion = signal(0)
/** Nobody waits for ways while the launch point moves under the hand, milliseconds. */
const REST_MS = 150

let walkSerial = 0
let walkTimer: ReturnType<typeof setTimeout> | undefined
effect(() => {
  const areas = found.value
  const [from, settings] = [roadHead.value ?? launch.value, walkSettings.value]
  const label = roadHead.value ? say('common.roadHeadInText') : say('common.launchPointInText')
  const serial = ++walkSerial
  clearTimeout(walkTimer)
  walks.value = null
  walkProblem.value = null
  if (!areas) return
  walkTimer = setTimeout(() => {
    const tracked = trackWork(say('landing.workingOutWaysFoot'), null)
    void landingThread()
      .walk(from, label, settings)
      .then((outcome: Outcome<(number | null)[]>) => {
        tracked.end()
        if (serial !== walkSerial) return
        walkProblem.value = outcome.kind === 'failed' ? outcome.sentence : null
        if (outcome.kind === 'done') walks.value = { of: areas, timesS: outcome.value }
        walkVersion.value = walkVersion.peek() + 1
      })
  }, REST_MS)
})

/** An area with all that is known of it. */
export interface AreaRow extends FoundArea {
  readonly picture: PictureShares | null
  /** Seconds on foot; null where nobody gets, undefined while not known. */
  readonly walkS: number | null | undefined
  /** From the route, or from the launch point where there is none, metres. */
  readonly awayM: number
}

/** Areas the pilot does not want to see again, by where they lie. */
const rejected = signal<ReadonlySet<string>>(new Set())
effect(() => {
  void terrain.value
  rejected.value = new Set()
})
const placeKey = ({ at }: { at: LatLon }) => `${at.latDeg.toFixed(6)},${at.lonDeg.toFixed(6)}`

export function reject(area: AreaRow): void {
  rejected.value = new Set([...rejected.value, placeKey(area)])
  if (selected.peek() === area.id) selected.value = null
}

export function forgetRejected(): void {
  rejected.value = new Set()
}

export const rejectedCount = computed(() => rejected.value.size)

/** Places along the route, or the launch point: what areas are near to. */
const nearTo = computed((): readonly LatLon[] => {
  const line = flownLine.value
  if (!line) return [launch.value]
  const count = line.distanceM.length
  const stride = Math.max(1, Math.ceil(count / 60))
  const places: LatLon[] = []
  for (let sample = 0; sample < count; sample += stride) {
    const at = placeOfSample(line, sample)
    if (at) places.push(at)
  }
  return places
})

export const rows = computed((): readonly AreaRow[] => {
  const areas = found.value
  if (!areas) return []
  const [shown, times] = [pictures.value, walks.value]
  const places = nearTo.value
  return areas.areas
    .map((area, i): AreaRow => {
      let awayM = Infinity
      for (const place of places) awayM = Math.min(awayM, roughDistanceM(area.at, place))
      return {
        ...area,
        picture: shown?.of === areas ? shown.shares[i] : null,
        walkS: times?.of === areas ? times.timesS[i] : undefined,
        awayM,
      }
    })
    .filter((area) => !rejected.value.has(placeKey(area)))
})

/** Distance good to a few per mille over a site, for thousands of pairs. */
function roughDistanceM(a: LatLon, b: LatLon): number {
  const metresPerDeg = 111_200
  const east = (a.lonDeg - b.lonDeg) * Math.cos((a.latDeg * Math.PI) / 180)
  return Math.hypot(east, a.latDeg - b.latDeg) * metresPerDeg
}

export const SORTS = ['picture', 'walk', 'size', 'away'] as const
export type Sort = (typeof SORTS)[number]
export const sortedBy = signal<Sort>('picture')

export function sortBy(sort: Sort): void {
  order.release()
  sortedBy.value = sort
}

const SORT_KEYS: Readonly<Record<Sort, (row: AreaRow) => number>> = {
  // Of equal margins the clearer one, of equals the nearer.
  picture: ({ picture, awayM }) =>
    -(picture?.margin || 0) - (picture?.fresnel || 0) / 1e4 + awayM / 1e10,
  walk: ({ walkS }) => walkS ?? Infinity,
  size: ({ sizeM2 }) => -sizeM2,
  away: ({ awayM }) => awayM,
}

/** Only the best so many are listed and drawn. */
export const MOST_SHOWN = 60

let listed: readonly AreaRow[] = []
/** The same list as before where nothing in it has changed. */
export const bestRows = computed((): readonly AreaRow[] => {
  const key = SORT_KEYS[sortedBy.value]
  const sorted = [...rows.value].sort((a, b) => key(a) - key(b))
  const best = order.of(sorted).slice(0, MOST_SHOWN)
  const isSame = best.length === listed.length && best.every((row, i) => row === listed[i])
  if (!isSame) listed = best
  return listed
})

/** Outlines of the areas listed, in their order. */
export const outlines = signal<readonly { readonly row: AreaRow; readonly outline: Polygon }[]>([])

let outlineSerial = 0
effect(() => {
  const [best, areas] = [bestRows.value, found.value]
  const serial = ++outlineSerial
  if (best.length === 0 || !areas) {
    outlines.value = []
    return
  }
  const ids = best.map(({ id }) => id)
  void landingThread()
    .outlines(areas.generation, ids)
    .then((polygons) => {
      if (serial === outlineSerial && polygons) {
        outlines.value = best.map((row, i) => ({ row, outline: polygons[i] }))
      }
    })
})

export const selectedRow = computed(
  () => rows.value.find(({ id }) => id === selected.value) ?? null,
)

/** The way on foot to it; null where nobody gets, undefined while not known. */
export const footWay = signal<FootWay | null | undefined>(undefined)
const hasSnow = computed(() => landing.value.hasSnow)

let waySerial = 0
effect(() => {
  const [row, snow, areas] = [selectedRow.value, hasSnow.value, found.value]
  void walkVersion.value
  const serial = ++waySerial
  if (!row || !areas || !walks.value) {
    footWay.value = undefined
    return
  }
  void landingThread()
    .way(areas.generation, row.id, snow)
    .then((way) => {
      if (serial === waySerial) footWay.value = way
    })
})

/** Takes an area into the plan. */
export async function accept(row: AreaRow): Promise<void> {
  const areas = found.peek()
  const polygons = areas && (await landingThread().outlines(areas.generation, [row.id]))
  if (polygons) takeIn({ ...row, outline: polygons[0] })
}

/** Takes an area drawn by hand, or that came from elsewhere with its words, into the plan. */
export async function acceptOwn(
  outline: Polygon,
  words: { readonly name?: string; readonly note?: string } = {},
): Promise<void> {
  const [grid, stands] = [terrain.peek(), surface.peek()]
  if (!grid || !stands) return
  useSite({ grid, stands })
  const measured = await landingThread().measure(outline)
  if (!measured) {
    notice.value = say('landing.areaDrawnHoldsNo')
    return
  }
  takeIn({ ...measured, outline }, words)
  const { steepestDeg } = limits.peek()
  notice.value =
    measured.levelShare > 0.1
      ? say('landing.partAreaDrawnPerfectly')
      : measured.meanSlopeDeg > steepestDeg
        ? say('landing.areaDrawnDegreesSteep', {
            meanSlopeDeg: measured.meanSlopeDeg.toFixed(0),
            steepestDeg,
          })
        : null
}

function takeIn(
  area: Omit<LandingArea, 'name' | 'note' | 'isHome'>,
  words: { readonly name?: string; readonly note?: string } = {},
): void {
  const { accepted } = setup.peek().landing
  const { at, outline, sizeM2, runM, runDeg } = area
  const taken = new Set(accepted.map(({ name }) => name))
  let number = accepted.length + 1
  while (taken.has(say('landing.landing', { number }))) number++
  const isFree = words.name && !taken.has(words.name)
  const name = isFree ? words.name! : say('landing.landing', { number })
  const fresh = { at, outline, sizeM2, runM, runDeg, name, note: words.note ?? '' }
  changeLanding({ accepted: [...accepted, { ...fresh, isHome: false }] })
}

/** Changes an accepted area; one at the most is for home. */
export function changeAccepted(index: number, part: Partial<LandingArea>): void {
  const { accepted } = setup.peek().landing
  changeLanding({
    accepted: accepted.map((area, i) => {
      if (i === index) return { ...area, ...part }
      return part.isHome ? { ...area, isHome: false } : area
    }),
  })
}

export function dropAccepted(index: number): void {
  const { accepted } = setup.peek().landing
  changeLanding({ accepted: accepted.toSpliced(index, 1) })
}

/** True for an area found that is in the plan already. */
export function isAccepted(row: AreaRow): boolean {
  return setup.value.landing.accepted.some((area) => geodesic(area.at, row.at).distanceM < 1)
}
