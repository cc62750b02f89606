import { computed, effect, untracked, type ReadonlySignal } from '@preact/signals'
import L from 'leaflet'
import 'leaflet/dist/leaflet.css'
import type { LatLon } from '../../core/geodesy/earth'
import { DRAWN_AREA } from '../../core/landing/basins'
import { divertAt } from '../../core/energy/divert'
import { deleteWaypoint, waypointName } from '../../core/route/route'
import { normalizeLonDeg } from '../../core/geodesy/geodesic'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { tileSource } from '../../core/tileAddress'
import { onlineTilesOn, preferences, tileSourceAllowed } from '../state/preferences'
import { coverage, launchMoves, noteLaunchMove } from '../state/coverage'
import { addPoint, drawing, finishDrawing } from '../state/drawing'
import { otherPlans } from '../state/comparePlans'
import { flownPlace, flownStretches } from '../state/flownTrack'
import { skylinePlace } from '../state/horizon'
import { shownPlaces } from '../state/keptPlaces'
import { footWay, outlines, selected } from '../state/landing'
import { chosenSpot, spotList } from '../state/launchSpots'
import { addCrossing, crossings } from '../state/cols'
import {
  addWaypoints,
  changeRoute,
  conflicts,
  flownLine,
  flownSample,
  moveWaypointTo,
  placeOfSample,
  returnBorder,
  shownSample,
  turns,
} from '../state/route'
import { shownIsolines } from '../state/shown'
import { setup, setupHistory } from '../state/setup'
import {
  firstViewM,
  mapCentre,
  mapView,
  moveLaunch,
  moveTarget,
  pointer,
  profile,
  profileSample,
} from '../state/site'
import { terrain } from '../state/terrain'
import { formatClearHeight, formatHeight, HEIGHT_UNIT } from '../../core/words/units'
import { notice } from '../state/work'
import { chosenValley, valleys } from '../state/valleys'
import { onMap } from './placement'
import { aircraftIcon, launchIcon, targetIcon } from './icons'
import { CalmMap } from './calmMap'
import { ColLayer } from './colLayer'
import { FlownLayer } from './flownLayer'
import { GhostLayer } from './ghostLayer'
import { IsolineLayer } from './isolineLayer'
import { GroundLayer } from './groundLayer'
import { PlaceNames } from './placeNames'
import { ReliefLayer } from './reliefLayer'
import { RouteLayer } from './routeLayer'
import { ShadingLayer } from './shadingLayer'
import { ShapesLayer } from './shapesLayer'
import { say } from '../../core/words/say'
import { readingMarks, shadingShown, turnMarks } from './shownOnMap'

/** Below this zoom a site is a dot, above it a cell fills the screen. */
const ZOOM_RANGE = { minZoom: 5, maxZoom: 18 }
/** A click this near to the last point of a shape finishes it. */
const SAME_PIXELS = 8

/** The map of the site: base maps, shading, launch point, target and the path between. */
export class SiteMap {
  private readonly map: L.Map
  private launchIsHeld = false
  private readonly relief = new ReliefLayer({ ...ZOOM_RANGE, pane: 'tilePane', zIndex: 1 })
  private readonly shading = new ShadingLayer({ ...ZOOM_RANGE, pane: 'tilePane', zIndex: 3 })
  private readonly placeNames = new PlaceNames()
  private readonly isolines = new IsolineLayer()
  private readonly shapes = new ShapesLayer()
  private readonly ground = new GroundLayer()
  private readonly cols = new ColLayer()
  private readonly ghosts = new GhostLayer()
  private readonly flown = new FlownLayer()
  private readonly route = new RouteLayer({
    move: moveWaypointTo,
    insert: (index, at) => addWaypoints([at], index, `drag waypoint ${index}`),
    remove: (index) => changeRoute(deleteWaypoint(setup.peek().route, index)),
    point: (index) => {
      const station = flownLine.peek()?.stations.find(({ waypoint }) => waypoint === index)
      if (station) shownSample.value = station.sample
    },
    endGesture: () => setupHistory.endGesture(),
  })
  private readonly outline = L.polygon([], {
    color: '#22252b',
    weight: 1.5,
    dashArray: '2 5',
    fill: false,
    interactive: false,
  })
  private readonly path = L.polyline([], { color: '#22252b', weight: 2, interactive: false })
  /** To the ground that makes the horizon in the direction pointed at. */
  private readonly skylineRay = L.polyline([], {
    color: '#d6336c',
    weight: 2,
    dashArray: '3 4',
    interactive: false,
  })
  private readonly launch = L.marker([0, 0], {
    icon: launchIcon,
    draggable: true,
    autoPan: true,
    keyboard: false,
    zIndexOffset: 1000,
  })
  private readonly target = L.marker([0, 0], {
    icon: targetIcon,
    draggable: true,
    keyboard: false,
    zIndexOffset: 500,
  })
  private readonly cursor = L.marker([0, 0], {
    icon: aircraftIcon,
    interactive: false,
    keyboard: false,
  })
  private readonly zoom = L.control.zoom({ position: 'topleft' })
  private readonly scale = L.control.scale({ maxWidth: 140, position: 'topleft' })

  constructor(container: HTMLElement) {
    this.map = new CalmMap(container, {
      ...ZOOM_RANGE,
      zoomControl: false,
      center: [0, 0],
      zoom: ZOOM_RANGE.minZoom,
    })
    this.map.attributionControl.setPrefix(false)
    this.zoom.addTo(this.map)
    this.scale.addTo(this.map)
    this.relief.addTo(this.map)
    this.shading.addTo(this.map)
    this.outline.addTo(this.map)
    this.isolines.addTo(this.map)
    this.shapes.addTo(this.map)
    this.ground.addTo(this.map)
    this.cols.addTo(this.map)
    this.ghosts.addTo(this.map)
    this.flown.addTo(this.map)
    this.route.addTo(this.map)
    this.placeNames.addTo(this.map)
    this.path.addTo(this.map)
    this.skylineRay.addTo(this.map)
    this.listen()
    this.follow()
  }

  private listen(): void {
    this.map.on('click', (event) => this.click(event))
    this.map.on('mousemove', (event) => {
      pointer.value = toLatLon(event.latlng)
    })
    this.map.on('moveend', () => {
      mapCentre.value = toLatLon(this.map.getCenter())
      const bounds = this.map.getBounds()
      mapView.value = { contains: (at) => bounds.contains(onMap(at)) }
    })
    this.map.getContainer().addEventListener('keydown', (event) => {
      // Not from a button or a marker inside the map.
      const isOnMap = event.target === event.currentTarget
      if (event.key === 'Enter' && isOnMap) this.choose(toLatLon(this.map.getCenter()))
    })
    this.map.on('mouseout', () => {
      pointer.value = null
    })
    this.dragged(this.launch, 'launch', moveLaunch, () => setup.value.launch)
    this.launch.on('drag', noteLaunchMove)
    this.launch.on('dragstart', () => (this.launchIsHeld = true))
    this.launch.on('dragend', () => {
      this.launchIsHeld = false
      launchMoves.value = false
    })
    this.dragged(this.target, 'target', moveTarget, () => setup.value.target)
    new ResizeObserver(() => this.map.invalidateSize({ pan: false })).observe(
      this.map.getContainer(),
    )
  }

  private click({ latlng, containerPoint }: L.LeafletMouseEvent): void {
    const last = drawing.peek()?.points.at(-1)
    const isAgain =
      last && this.map.latLngToContainerPoint(onMap(last)).distanceTo(containerPoint) < SAME_PIXELS
    if (isAgain) finishDrawing()
    else this.choose(toLatLon(latlng))
  }

  /** A place chosen by click or key: the next point of a shape, or the target. */
  private choose(at: LatLon): void {
    if (drawing.peek()) addPoint(at)
    else moveTarget(at)
  }

  /** A marker that moves its point while dragged, and goes back where it is refused. */
  private dragged(
    marker: L.Marker,
    name: string,
    move: (to: LatLon, gesture: string) => boolean,
    place: () => LatLon | null,
  ): void {
    marker.on('drag', () => move(toLatLon(marker.getLatLng()), `drag ${name}`))
    marker.on('dragend', () => {
      setupHistory.endGesture()
      const at = place()
      if (at) marker.setLatLng(onMap(at))
    })
  }

  /** What its buttons and markers are called, in the language spoken. */
  private nameParts(): void {
    const buttons = this.zoom.getContainer()?.querySelectorAll('a') ?? []
    const names = [say('siteMap.zoomIn'), say('siteMap.zoomOut')]
    buttons.forEach((button, i) => {
      button.title = names[i]
      button.setAttribute('aria-label', names[i])
    })
    for (const [marker, name] of [
      [this.launch, say('siteMap.launchPointDragMove')],
      [this.target, say('siteMap.targetDragMove')],
    ] as const) {
      marker.options.title = name
      const element = marker.getElement()
      if (element) element.title = name
    }
  }

  /** Keeps the map in step with the state. */
  private follow(): void {
    effect(() => this.nameParts())
    effect(() => {
      const grid = terrain.value
      this.relief.redraw()
      this.outline.setLatLngs([])
      if (grid) this.fit(grid)
    })
    effect(() => this.placeNames.show(shownPlaces.value))
    effect(() => this.shading.show(coverage.value, shadingShown()))
    effect(() => {
      const { units } = preferences.value
      this.isolines.show(shownIsolines.value, (value) => formatHeight(value, units))
    })
    const obstacles = computed(() => setup.value.obstacles)
    effect(() => {
      const { units } = preferences.value
      this.shapes.showObstacles(
        obstacles.value,
        ({ name, heightM }) => `${name}, ${formatHeight(heightM, units)}`,
      )
    })
    effect(() => this.shapes.showReading(setup.value.reading, readingMarks()))
    effect(() => {
      this.shapes.showDraft(drawing.value)
      if (drawing.value) this.map.doubleClickZoom.disable()
      // After the second click of a double click, which ends a drawing, has been dealt with.
      else setTimeout(() => this.map.doubleClickZoom.enable(), 400)
    })
    effect(() => {
      const [at, { launch }] = [skylinePlace.value, setup.value]
      this.skylineRay.setLatLngs(at ? [onMap(launch), onMap(at)] : [])
    })
    const launch = computed(() => setup.value.launch)
    this.followRoute(launch)
    this.followGround()
    effect(() =>
      this.ghosts.show(
        otherPlans.value.map(({ name, plan: { launch, route } }) => ({
          name,
          line: [launch, ...route.waypoints, ...(route.endsAtLaunch ? [launch] : [])],
        })),
      ),
    )
    effect(() => this.flown.showTrack(flownStretches.value))
    effect(() => this.flown.showAircraft(flownPlace.value))
    effect(() => this.keepInView(launch.value))
    effect(() => {
      const { launch, target } = setup.value
      this.place(this.launch, terrain.value ? launch : null)
      this.place(this.target, terrain.value ? target : null)
      const ends = target && terrain.value ? [launch, target] : []
      this.path.setLatLngs(ends.map((end) => onMap(end)))
    })
    effect(() => {
      const [path, sample] = [profile.value, profileSample.value]
      if (path === null || typeof path === 'string' || sample === null) {
        this.cursor.remove()
        return
      }
      const t = path.samples.distanceM[sample] / path.distanceM
      const [from, to] = [onMap(path.from), onMap(path.to)]
      this.place(this.cursor, {
        latDeg: from[0] + (to[0] - from[0]) * t,
        lonDeg: from[1] + (to[1] - from[1]) * t,
      })
    })
    effect(() => {
      const { units } = preferences.value
      this.relief.setMetresPerUnit(HEIGHT_UNIT[units].metres)
      this.scale.options.metric = units === 'metric'
      this.scale.options.imperial = units === 'feet'
      this.scale.remove().addTo(this.map)
    })
    effect(() => {
      const { tileTemplate } = preferences.value
      // The page's policy lets no other server in.
      const isAllowed = tileSource(tileTemplate) === tileSourceAllowed()
      if (!onlineTilesOn.value || !isAllowed) return undefined
      const online = this.onlineTiles()
      online.addTo(this.map)
      return () => void online.remove()
    })
  }

  private followRoute(launch: ReadonlySignal<LatLon>): void {
    const route = computed(() => setup.value.route)
    effect(() => {
      const its = route.value
      this.route.showRoute(terrain.value ? launch.value : null, its, (i) => waypointName(its, i))
    })
    effect(() => {
      const line = flownLine.value
      this.route.showConflicts(conflicts.value, ({ fromSample, toSample }) => {
        if (!line) return []
        const between = line.stations.filter(
          ({ sample }) => sample > fromSample && sample < toSample,
        )
        const ends = [fromSample, toSample].map((sample) => placeOfSample(line, sample))
        return [ends[0], ...between, ends[1]].filter((at) => at !== null)
      })
    })
    const ceilingM = computed(() => setup.value.limits.ceilingM)
    effect(() => this.route.showTurns(turnMarks()))
    effect(() => this.route.showBorder(returnBorder.value ?? []))
    effect(() => {
      const { units } = preferences.value
      const marks = crossings.value.map(({ latDeg, lonDeg, groundM, fresnelM }) => {
        const [ground, clear] = [formatHeight(groundM, units), formatClearHeight(fresnelM, units)]
        return {
          ...{ latDeg, lonDeg },
          label: fresnelM <= ceilingM.value ? clear : null,
          title: say('siteMap.colClickMakeWaypoint', { ground, clear }),
        }
      })
      this.cols.show(marks, (i) => addCrossing(crossings.peek()[i]))
    })
    effect(() => {
      const [line, sample] = [flownLine.value, flownSample.value]
      const at = line && sample !== null ? placeOfSample(line, sample) : null
      const divert = turns.value && sample !== null ? divertAt(turns.value.diverts, sample) : null
      const landing = divert && setup.value.landing.accepted[divert.area]
      this.route.showAircraft(at, landing?.at ?? null)
    })
  }

  private followGround(): void {
    effect(() => {
      const { units } = preferences.value
      const shown = outlines.value
      this.ground.showFound(
        shown.map(({ row, outline }) => ({
          outline,
          picture: row.picture?.margin ?? row.picture?.fresnel ?? null,
          isSelected: row.id === selected.value,
          title: say('siteMap.landingAreaAmslClick', { heightM: formatHeight(row.heightM, units) }),
        })),
        (i) => {
          if (drawing.peek()) return false
          selected.value = shown[i].row.id
          return true
        },
      )
    })
    effect(() => {
      const shown = valleys.value.map((valley) => ({
        ...valley,
        label: valley.label === DRAWN_AREA ? say('common.drawn') : String(valley.label),
        isChosen: valley.label === chosenValley.value,
      }))
      this.ground.showValleys(shown)
    })
    effect(() => {
      const chosen = valleys.peek().find(({ label }) => label === chosenValley.value)
      if (chosen) this.map.panTo(onMap(chosen.at))
    })
    effect(() => {
      const spots = spotList.value?.spots ?? []
      this.ground.showSpots(
        spots.map(({ at }, i) => ({ at, label: String(i + 1), isChosen: i === chosenSpot.value })),
      )
    })
    const landing = computed(() => setup.value.landing)
    const accepted = computed(() => landing.value.accepted)
    const excluded = computed(() => landing.value.excluded)
    const roadHead = computed(() => landing.value.roadHead)
    effect(() => this.ground.showAccepted(accepted.value))
    effect(() => this.ground.showExcluded(excluded.value))
    effect(() => this.ground.showRoadHead(roadHead.value))
    effect(() => this.ground.showWay(footWay.value ?? null))
  }

  /** The online tiles of the preferences; Leaflet asks only for those looked at. */
  private onlineTiles(): L.TileLayer {
    const { tileTemplate, tileAttribution } = preferences.value
    const online = L.tileLayer(tileTemplate, {
      ...ZOOM_RANGE,
      attribution: escapeHtml(tileAttribution),
      pane: 'tilePane',
      zIndex: 2,
      // The relief shows through, so that the shape of the ground stays readable.
      opacity: 0.75,
    })
    online.once('tileerror', () => {
      notice.value = say('siteMap.tileServerDoesNot')
    })
    return online
  }

  private place(marker: L.Marker, at: LatLon | null): void {
    if (!at) {
      marker.remove()
      return
    }
    marker.setLatLng(onMap(at))
    if (!this.map.hasLayer(marker)) marker.addTo(this.map)
  }

  /** Goes to a launch point that was typed, or undone to, out of view. */
  private keepInView(launch: LatLon): void {
    if (!terrain.peek() || this.launchIsHeld) return
    const at = onMap(launch)
    if (!this.map.getBounds().contains(at)) this.map.panTo(at)
  }

  private fit(grid: TerrainGrid): void {
    const outline = new GridLocator(grid).outline().map((point) => onMap(point))
    this.outline.setLatLngs(outline)
    untracked(() => {
      const launch = onMap(setup.value.launch)
      const bounds =
        firstViewM.value === null
          ? L.latLngBounds(outline)
          : L.latLng(launch).toBounds(2 * firstViewM.value)
      this.map.fitBounds(bounds, { animate: false, padding: [8, 8] })
    })
  }
}

function toLatLon(point: L.LatLng): LatLon {
  return { latDeg: point.lat, lonDeg: normalizeLonDeg(point.lng) }
}

/** Leaflet writes attributions as HTML; a setting must stay text. */
function escapeHtml(text: string): string {
  const element = document.createElement('span')
  element.textContent = text
  return element.innerHTML
}
