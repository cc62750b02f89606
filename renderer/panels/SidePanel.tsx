import { AircraftSection } from './AircraftSection'
import { BatterySection } from './BatterySection'
import { ValleysSection } from './ValleysSection'
import { WindSection } from './WindSection'
import { ColsSection } from './ColsSection'
import { host } from '../host/host'
import { drawing, removeLastPoint } from '../state/drawing'
import { beginAgain, firstSteps } from '../state/firstSteps'
import { preferences } from '../state/preferences'
import { setupHistory } from '../state/setup'
import { lookAtFiles } from '../state/opening'
import { openDemo } from '../state/planFile'
import { stepName } from '../state/stepNames'
import type { Units } from '../../core/words/units'
import { BaseMapSection } from './BaseMapSection'
import { BriefSection } from './BriefSection'
import { CompareSection } from './CompareSection'
import { CoverageSection } from './CoverageSection'
import { DraftOffer } from './DraftOffer'
import { FlownSection } from './FlownSection'
import { FirstSteps } from './FirstSteps'
import { HandOverSection } from './HandOverSection'
import { HorizonSection } from './HorizonSection'
import { LaunchSection } from './LaunchSection'
import { LinkSection } from './LinkSection'
import { NearbySection } from './NearbySection'
import { RadioSection } from './RadioSection'
import { RangeSection } from './RangeSection'
import { ReadingSection } from './ReadingSection'
import { PlaceSearch } from './PlaceSearch'
import { LandingSection } from './LandingSection'
import { PlanSection } from './PlanSection'
import { RouteSection } from './RouteSection'
import { SaveSection } from './SaveSection'
import { SpotsSection } from './SpotsSection'
import { SurfaceSection } from './SurfaceSection'
import { TargetSection } from './TargetSection'
import { TerrainSection } from './TerrainSection'

async function chooseTerrain(): Promise<void> {
  await lookAtFiles(await host.openTerrain())
}

/** What a button would undo or redo. */
function titleOf(verb: string, by: 1 | -1, keys: string): string {
  const { values, at } = setupHistory.steps.value
  const [before, after] = by < 0 ? [values[at - 1], values[at]] : [values[at], values[at + 1]]
  return before && after ? `${verb}: ${stepName(before, after)} (${keys})` : `${verb} (${keys})`
}

export function SidePanel() {
  return (
    <aside class="side" aria-label="Plan">
      <header class="side-head">
        <h1>Colsight</h1>
        <div class="side-tools">
          <button
            type="button"
            title={drawing.value ? 'Remove the last point (Ctrl+Z)' : titleOf('Undo', -1, 'Ctrl+Z')}
            aria-label="Undo"
            disabled={!drawing.value && !setupHistory.canUndo.value}
            onClick={() => (drawing.value ? removeLastPoint() : setupHistory.undo())}
          >
            ↶
          </button>
          <button
            type="button"
            title={titleOf('Redo', 1, 'Ctrl+Shift+Z')}
            aria-label="Redo"
            disabled={!setupHistory.canRedo.value}
            onClick={() => setupHistory.redo()}
          >
            ↷
          </button>
          <UnitsSwitch />
        </div>
        <div class="side-open">
          <button type="button" class="primary" onClick={() => void chooseTerrain()}>
            Open terrain…
          </button>
          <button type="button" onClick={() => void openDemo()}>
            Demo site
          </button>
        </div>
        <PlaceSearch />
      </header>
      <DraftOffer />
      <FirstSteps />
      <CoverageSection />
      <LaunchSection />
      <TargetSection />
      <RouteSection />
      <ColsSection />
      <SpotsSection />
      <LandingSection />
      <ValleysSection />
      <AircraftSection />
      <BatterySection />
      <WindSection />
      <SurfaceSection />
      <ReadingSection />
      <HorizonSection />
      <RangeSection />
      <LinkSection name="video" />
      <LinkSection name="control" />
      <NearbySection />
      <RadioSection />
      <TerrainSection />
      <BaseMapSection />
      <SaveSection />
      <BriefSection />
      <PlanSection />
      <CompareSection />
      <HandOverSection />
      <FlownSection />
      {firstSteps.value.isAway && (
        <p class="section-note again">
          <button type="button" class="link" onClick={beginAgain}>
            First steps, once more
          </button>
        </p>
      )}
      <p class="caution">
        Terrain models miss trees, wires and buildings, and a prediction is no promise. Keep to
        local aviation, radio and avalanche rules; when in doubt ask licensed practice.
      </p>
    </aside>
  )
}

function UnitsSwitch() {
  const choose = (units: Units) => (preferences.value = { ...preferences.value, units })
  return (
    <div class="switch" role="group" aria-label="Units">
      {(['metric', 'feet'] as const).map((units) => (
        <button
          type="button"
          key={units}
          aria-pressed={preferences.value.units === units}
          title={units === 'metric' ? 'Metres and kilometres' : 'Feet and miles'}
          onClick={() => choose(units)}
        >
          {units === 'metric' ? 'm' : 'ft'}
        </button>
      ))}
    </div>
  )
}
