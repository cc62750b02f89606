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
import { say, type TextKey } from '../../core/words/say'
import { ProfileChart } from './ProfileChart'

/** The path from the launch point to the target, as a chart with its figures beside it. */
export function ProfilePanel() {
  const path = profile.value
  if (path === null) {
    return (
      <section class="profile profile-empty" aria-label={say('profile.pathProfile')}>
        <p>{say('profile.clickPointMapPath')}</p>
      </section>
    )
  }
  return (
    <section class="profile" aria-label={say('profile.pathProfile')}>
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
        aria-label={say('profile.closeProfile')}
        title={say('profile.closeProfile')}
        onClick={() => changeSetup({ target: null })}
      >
        ×
      </button>
    </section>
  )
}

type FiguresTab = 'path' | LinkName
const TABS: readonly { tab: FiguresTab; label: TextKey }[] = [
  { tab: 'path', label: 'profile.path' },
  { tab: 'video', label: 'common.video' },
  { tab: 'control', label: 'common.control' },
]
const figuresTab = signal<FiguresTab>('path')

function Figures({ path }: { path: PathProfile }) {
  const shown = figuresTab.value
  return (
    <div class="figures">
      <div class="switch figures-tabs" role="group" aria-label={say('profile.figuresPath')}>
        {TABS.map(({ tab, label }) => (
          <button
            type="button"
            key={tab}
            aria-pressed={shown === tab}
            onClick={() => (figuresTab.value = tab)}
          >
            {say(label)}
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
        <dt>{say('profile.distance')}</dt>
        <dd>
          {say('common.at', {
            distanceM: formatDistance(path.distanceM, units),
            bearingDeg: formatNumber(path.bearingDeg, 1),
          })}
        </dd>
        <dt>{say('profile.leastClearance')}</dt>
        <dd>
          {worstClearance
            ? say('profile.at', {
                worstClearance: formatHeight(worstClearance.value, units, 1),
                distanceM: formatDistance(worstClearance.distanceM, units),
              })
            : say('profile.nothingBetween')}
        </dd>
        <dt>{say('profile.leastFresnelRatio')}</dt>
        <dd>
          {worstFresnel
            ? say('profile.wanted', {
                worstFresnel: formatNumber(
                  worstFresnel.value,
                  Math.abs(worstFresnel.value) < 10 ? 2 : 0,
                ),
                distanceM: formatDistance(worstFresnel.distanceM, units),
                wanted,
              })
            : say('profile.nothingBetween')}
        </dd>
        <dt>{say('profile.clearAgl')}</dt>
        <dd>{clearFrom(path)}</dd>
        <dt>{say('common.aircraft')}</dt>
        <dd>{say('profile.amsl', { antennaAmslM: formatHeight(path.to.antennaAmslM, units) })}</dd>
        <dt>{say('profile.freeSpaceLoss')}</dt>
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
  if (cell < 0 || Number.isNaN(fields.sightM[cell])) return say('common.notKnown')
  const { units } = preferences.value
  const [sight, fresnel] = [fields.sightM[cell], fields.fresnelM[cell]]
  const band = fields.errorM * ERROR_GAINS[fields.edge[cell]]
  const heights = say('profile.sightFresnel', {
    sight: formatClearHeight(sight, units),
    fresnel: formatClearHeight(fresnel, units),
  })
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
  if (inSight === false) return ['blocked', say('common.blocked')]
  if (inSight === null) return ['unknown', say('profile.notKnownTerrainData')]
  if (fresnelClear) return ['clear', say('profile.sightFresnelClear')]
  return ['sight', say('profile.sightFresnelZoneObstructed')]
}

/** The figures at the chart's cursor. */
function CursorFigures({ path }: { path: PathProfile }) {
  const { units } = preferences.value
  const sample = profileSample.value
  const { distanceM, groundM, surfaceM, clearanceM, fresnelRadiusM } = path.samples
  if (sample === null) {
    return <p class="cursor-figures cursor-figures-empty">{say('profile.pointProfileFigures')}</p>
  }
  return (
    <p class="cursor-figures">
      <strong>{formatDistance(distanceM[sample], units)}</strong>{' '}
      {say('profile.ground', { groundM: formatHeight(groundM[sample], units) })}
      {surfaceM[sample] > groundM[sample] &&
        say('profile.highCover', {
          surfaceM: formatHeight(surfaceM[sample] - groundM[sample], units),
        })}
      {say('profile.clearanceFresnelRadius', {
        clearanceM: formatHeight(clearanceM[sample], units),
        fresnelRadiusM: formatHeight(fresnelRadiusM[sample], units, 1),
      })}
    </p>
  )
}
