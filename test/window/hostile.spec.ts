import { writePlan } from '../../core/plan/planFile'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { DEMO_TERRAIN } from '../support/places'
import { flownPlan } from '../support/plans'
import { expect, test, type ColsightWindow } from './window'

/** A name that would run if it were ever taken for markup. */
const EVIL = '"><img src=x onerror="window.taken=1"><script>window.taken=1</script>'
const bytes = (text: string) => new TextEncoder().encode(text)
const escaped = (text: string) => text.replace(/[<>&"]/g, (letter) => `&#${letter.charCodeAt(0)};`)

/** Nothing ran, and nothing of it became an element. */
async function isUntouched({ page }: ColsightWindow): Promise<void> {
  expect(await page.evaluate(() => 'taken' in window)).toBe(false)
  await expect(page.locator('img[src="x"], #app script')).toHaveCount(0)
}

test('scripts in the names of a GPX, a KML and a GeoJSON are text', async ({ colsight }) => {
  const { page } = colsight
  const name = escaped(EVIL)
  const gpx = `<gpx version="1.1"><rte><name>${name}</name><rtept lat="41.205" lon="166.32"><name>${name}</name></rtept><rtept lat="41.21" lon="166.325"/></rte></gpx>`
  const kml = `<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><name>${name}</name><description>${name}</description><Point><coordinates>166.32,41.205</coordinates></Point></Placemark></kml>`
  const geojson = JSON.stringify({
    type: 'FeatureCollection',
    features: [
      {
        type: 'Feature',
        geometry: { type: 'Point', coordinates: [166.32, 41.205] },
        properties: { name: EVIL, note: EVIL, description: EVIL },
      },
    ],
  })
  for (const [file, text] of [
    ['a.gpx', gpx],
    ['a.kml', kml],
    ['a.geojson', geojson],
  ]) {
    await colsight.drop([file, bytes(text)])
    await expect(page.locator('.incoming tbody')).toContainText(EVIL)
    const choice = page.getByRole('combobox', { name: /^Take/ }).first()
    await choice.selectOption(file === 'a.gpx' ? 'route' : 'waypoint')
    await page.getByRole('button', { name: 'Take over' }).click()
    await isUntouched(colsight)
  }
  await expect(page.locator('.legs tbody tr').first()).toBeVisible()
  await isUntouched(colsight)
})

test('scripts in a plan are text, wherever its names are shown', async ({ colsight }) => {
  const { page } = colsight
  const plan = flownPlan(await readTerrainFile(DEMO_TERRAIN))
  const { launch } = plan
  const at = { latDeg: launch.latDeg + 0.002, lonDeg: launch.lonDeg }
  const ring = [
    [0, 0],
    [0.001, 0],
    [0.001, 0.001],
    [0, 0],
  ].map(([lon, lat]) => [at.lonDeg + lon, at.latDeg + lat])
  const outline = { type: 'Polygon' as const, coordinates: [ring] }
  const evil = {
    ...plan,
    route: {
      ...plan.route,
      waypoints: plan.route.waypoints.map((waypoint) => ({ ...waypoint, name: EVIL })),
    },
    obstacles: [{ name: EVIL, kind: 'mast' as const, heightM: 20, geometry: { type: 'Point' as const, coordinates: [at.lonDeg, at.latDeg] } }], // prettier-ignore
    landing: {
      ...plan.landing,
      accepted: [
        { name: EVIL, note: EVIL, at, outline, sizeM2: 900, runM: 30, runDeg: 45, isHome: true },
      ],
    },
    places: [{ kind: 'col' as const, name: EVIL, ...at }],
    video: { ...plan.video, name: EVIL },
    aircraft: { ...plan.aircraft, name: EVIL },
    battery: { ...plan.battery, name: EVIL },
    brief: { title: EVIL, checklist: [EVIL], notes: EVIL },
  }
  await colsight.drop([`${EVIL.slice(0, 20)}.geojson`, bytes(writePlan({ plan: evil, terrain: null }))]) // prettier-ignore
  await expect(page.locator('.legs tbody tr').first()).toContainText('<img')
  await page.locator('.side').evaluate((side) => {
    for (const details of side.querySelectorAll('details')) details.open = true
  })
  await isUntouched(colsight)
  for (const mark of await page.locator('.leaflet-marker-icon').all()) {
    await mark.hover({ force: true, timeout: 500 }).catch(() => undefined)
  }
  await isUntouched(colsight)
  await page.getByRole('button', { name: 'This one, as it is' }).click()
  await page.getByRole('button', { name: 'Side by side…' }).click()
  await expect(page.locator('.compare')).toContainText('<img')
  await page.keyboard.press('Escape')
  await page.getByRole('button', { name: 'Make the brief…' }).click()
  const brief = page.frameLocator('.brief-view iframe')
  await expect(brief.locator('h1')).toContainText('<img')
  await expect(brief.locator('img[src="x"], script')).toHaveCount(0)
  await isUntouched(colsight)
})
