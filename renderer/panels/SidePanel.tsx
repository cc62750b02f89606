import { AircraftSection } from './AircraftSection'
import { BatterySection } from './BatterySection'
import { ValleysSection } from './ValleysSection'
import { WindSection } from './WindSection'
import { ColsSection } from './ColsSection'
import { host } from '../host/host'
import { drawing, removeLastPoint } from '../state/drawing'
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
import { FieldHelp, readFieldHelp } from './FieldHelp'
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
import { PlacesSection } from './PlacesSection'
import { PlanSection } from './PlanSection'
import { ProgramSection } from './ProgramSection'
import { RouteSection } from './RouteSection'
import { SaveSection } from './SaveSection'
import { SpotsSection } from './SpotsSection'
import { SurfaceSection } from './SurfaceSection'
import { TargetSection } from './TargetSection'
import { say } from '../../core/words/say'
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
    <aside
      class="side"
      aria-label={say('common.plan')}
      onFocusIn={({ target }) => readFieldHelp(target)}
      onFocusOut={({ relatedTarget }) => readFieldHelp(relatedTarget)}
    >
      <header class="side-head">
        <h1>{say('side.colsight')}</h1>
        <div class="side-tools">
          <button
            type="button"
            title={
              drawing.value
                ? say('side.removeLastPointCtrl')
                : titleOf(say('side.undo'), -1, say('side.ctrlZ'))
            }
            aria-label={say('side.undo')}
            disabled={!drawing.value && !setupHistory.canUndo.value}
            onClick={() => (drawing.value ? removeLastPoint() : setupHistory.undo())}
          >
            ↶
          </button>
          <button
            type="button"
            title={titleOf(say('side.redo'), 1, say('side.ctrlShiftZ'))}
            aria-label={say('side.redo')}
            disabled={!setupHistory.canRedo.value}
            onClick={() => setupHistory.redo()}
          >
            ↷
          </button>
          <UnitsSwitch />
        </div>
        <div class="side-open">
          <button type="button" class="primary" onClick={() => void chooseTerrain()}>
            {say('side.openTerrain')}
          </button>
          <button type="button" onClick={() => void openDemo()}>
            {say('side.demoSite')}
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
      <PlacesSection />
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
      <ProgramSection />
      <p class="caution">{say('side.terrainModelsMissTrees')}</p>
      <FieldHelp />
    </aside>
  )
}

function UnitsSwitch() {
  const choose = (units: Units) => (preferences.value = { ...preferences.value, units })
  return (
    <div class="switch" role="group" aria-label={say('side.units')}>
      {(['metric', 'feet'] as const).map((units) => (
        <button
          type="button"
          key={units}
          aria-pressed={preferences.value.units === units}
          title={units === 'metric' ? say('side.metresKilometres') : say('side.feetMiles')}
          onClick={() => choose(units)}
        >
          {units === 'metric' ? 'm' : say('common.ft')}
        </button>
      ))}
    </div>
  )
}
