import { signal } from '@preact/signals'
import type { PathProfile } from '../../core/propagation/path'
import { ERROR_GAINS } from '../../core/coverage/uncertainty'
import { cellIndex, GridLocator } from '../../core/terrain/grid'
import { coverage } from '../state/coverage'
import { preferences } from '../state/preferences'
import { changeSetup, setup } from '../state/setup'
import { profile, profileSample } from '../state/site'
import {
  formatClearHeight,
  formatDistance,
  formatHeight,
  formatNumber,
} from '../../core/words/units'
import type { LinkName } from '../state/links'
import { BudgetFigures } from './BudgetFigures'
import { ProfileChart } from './ProfileChart'

/** The path from the launch point to the target, as a chart with its figures beside it. */
export function ProfilePanel() {
  const path = profile.value
  if (path === null) {
    return (
      <section class="profile profile-empty" aria-label="Path profile">
        <p>
          Click a point on the map: the path from the launch point to the aircraft there appears
          here.
        </p>
      </section>
    )
  }
  return (
    <section class="profile" aria-label="Path profile">
      {typeof path === 'string' ? (
        <p class="profile-refusal">{path}</p>
      ) : (
        <>
          <ProfileChart path={path} />
          <Figures path={path} />
        </>
      )}
      <button
        type="button"
        class="profile-close"
        aria-label="Close the profile"
        title="Close the profile"
        onClick={() => changeSetup({ target: null })}
      >
        ×
      </button>
    </section>
  )
}

type FiguresTab = 'path' | LinkName
const TABS: readonly { tab: FiguresTab; label: string }[] = [
  { tab: 'path', label: 'Path' },
  { tab: 'video', label: 'Video' },
  { tab: 'control', label: 'Control' },
]
const figuresTab = signal<FiguresTab>('path')

function Figures({ path }: { path: PathProfile }) {
  const shown = figuresTab.value
  return (
    <div class="figures">
      <div class="switch figures-tabs" role="group" aria-label="Figures of the path">
        {TABS.map(({ tab, label }) => (
          <button
            type="button"
            key={tab}
            aria-pressed={shown === tab}
            onClick={() => (figuresTab.value = tab)}
          >
            {label}
          </button>
        ))}
      </div>
      {shown === 'path' ? <ProfileFigures path={path} /> : <BudgetFigures name={shown} />}
    </div>
  )
}

function ProfileFigures({ path }: { path: PathProfile }) {
  const { units } = preferences.value
  const { worstClearance, worstFresnel } = path
  const wanted = formatNumber(setup.value.radio.fresnelFraction, 2)
  return (
    <>
      <Verdict path={path} />
      <dl class="facts">
        <dt>Distance</dt>
        <dd>
          {formatDistance(path.distanceM, units)} at {formatNumber(path.bearingDeg, 1)}°
        </dd>
        <dt>Least clearance</dt>
        <dd>
          {worstClearance
            ? `${formatHeight(worstClearance.value, units, 1)} at ${formatDistance(worstClearance.distanceM, units)}`
            : 'nothing between'}
        </dd>
        <dt>Least Fresnel ratio</dt>
        <dd>
          {worstFresnel
            ? `${formatNumber(worstFresnel.value, 2)} at ${formatDistance(worstFresnel.distanceM, units)} (wanted ${wanted})`
            : 'nothing between'}
        </dd>
        <dt>Clear from, AGL</dt>
        <dd>{clearFrom(path)}</dd>
        <dt>Aircraft</dt>
        <dd>{formatHeight(path.to.antennaAmslM, units)} AMSL</dd>
        <dt>Free-space loss</dt>
        <dd>{formatNumber(path.freeSpaceLossDb, 1)} dB</dd>
      </dl>
      <CursorFigures path={path} />
    </>
  )
}

/** The clear heights over the target, from the coverage. */
function clearFrom(path: PathProfile): string {
  const fields = coverage.value
  if (!fields) return '–'
  const cell = cellIndex(fields.frame, new GridLocator(fields.frame).toGrid(path.to))
  if (cell < 0 || Number.isNaN(fields.sightM[cell])) return 'not known'
  const { units } = preferences.value
  const [sight, fresnel] = [fields.sightM[cell], fields.fresnelM[cell]]
  const band = fields.errorM * ERROR_GAINS[fields.edge[cell]]
  const heights = `${formatClearHeight(sight, units)} sight, ${formatClearHeight(fresnel, units)} Fresnel`
  return band > 0 ? `${heights} (± ${formatHeight(band, units)})` : heights
}

function Verdict({ path }: { path: PathProfile }) {
  const [kind, words] = verdictOn(path)
  return (
    <p class={`verdict verdict-${kind}`} role="status">
      {words}
    </p>
  )
}

function verdictOn({ inSight, fresnelClear }: PathProfile): [kind: string, words: string] {
  if (inSight === false) return ['blocked', 'Blocked']
  if (inSight === null) return ['unknown', 'Not known: terrain data missing on the way']
  if (fresnelClear) return ['clear', 'In sight, Fresnel-clear']
  return ['sight', 'In sight, Fresnel zone obstructed']
}

/** The figures at the chart's cursor. */
function CursorFigures({ path }: { path: PathProfile }) {
  const { units } = preferences.value
  const sample = profileSample.value
  const { distanceM, groundM, surfaceM, clearanceM, fresnelRadiusM } = path.samples
  if (sample === null) {
    return <p class="cursor-figures cursor-figures-empty">Point at the profile for its figures.</p>
  }
  return (
    <p class="cursor-figures">
      <strong>{formatDistance(distanceM[sample], units)}</strong> ground{' '}
      {formatHeight(groundM[sample], units)}
      {surfaceM[sample] > groundM[sample] &&
        `, ${formatHeight(surfaceM[sample] - groundM[sample], units)} high cover on it`}
      , clearance {formatHeight(clearanceM[sample], units)}, Fresnel radius{' '}
      {formatHeight(fresnelRadiusM[sample], units, 1)}
    </p>
  )
}
