import { readPlan, writePlan } from '../../core/plan/planFile'
import { resolveEnd } from '../../core/propagation/path'
import { host } from '../host/host'
import { setup, changeSetup } from '../state/setup'
import { locator, terrain } from '../state/terrain'
import { notice, orSentence } from '../state/work'
import { Section } from './Section'

/** The plan as a file: what the pilot set up, not what follows from it. */
export function PlanSection() {
  return (
    <Section title="Plan file">
      <p class="section-note">
        Launch point, route, landing areas, obstacles and settings as GeoJSON, for another day and
        for the command line. The terrain is not in it.
      </p>
      <div class="row">
        <button type="button" onClick={() => void savePlan()}>
          Save plan…
        </button>
        <button type="button" onClick={() => void openPlan()}>
          Open plan…
        </button>
      </div>
    </Section>
  )
}

async function savePlan(): Promise<void> {
  const bytes = new TextEncoder().encode(writePlan(setup.value))
  try {
    await host.saveFile('plan.geojson', bytes)
    notice.value = null
  } catch (error) {
    notice.value = `The plan could not be saved: ${error instanceof Error ? error.message : String(error)}. Choose another folder or make room on the disk.`
  }
}

async function openPlan(): Promise<void> {
  const file = await host.openText('Plan', ['geojson', 'json'])
  const [grid, place] = [terrain.peek(), locator.peek()]
  if (!file || !grid || !place) return
  const found = orSentence(() => {
    const plan = readPlan(file.text, file.name)
    // A plan for another site would leave the map without a launch point.
    resolveEnd(grid, place, {
      ...plan.launch,
      label: `launch point of "${file.name}"`,
      heightM: plan.antennaHeightM,
    })
    return plan
  })
  notice.value = typeof found === 'string' ? found : null
  if (typeof found !== 'string') changeSetup({ ...found, target: null })
}
