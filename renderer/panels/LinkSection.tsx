import { eirpDbm } from '../../core/radio/budget'
import {
  dbmFromMw,
  LIMITS,
  linkWarnings,
  mwFromDbm,
  readLink,
  writeLink,
} from '../../core/radio/link'
import type { Branch } from '../../core/radio/link'
import { geodesic } from '../../core/geodesy/geodesic'
import { geometryOfPath } from '../../core/radio/pathBudget'
import { host } from '../host/host'
import {
  changeLink,
  forgetLink,
  isSameLink,
  keepLink,
  ownLinks,
  presetsFor,
  type LinkName,
} from '../state/links'
import { setup } from '../state/setup'
import { profile } from '../state/site'
import { formatNumber } from '../../core/words/units'
import { notice, orSentence } from '../state/work'
import { AntennaFields } from './AntennaFields'
import { NumberField } from './NumberField'
import { say, type TextKey } from '../../core/words/say'
import { spokenName } from '../../core/words/typicalNames'
import { Section } from './Section'

const TITLES: Readonly<Record<LinkName, TextKey>> = {
  video: 'link.videoLinkDown',
  control: 'link.controlLinkUp',
}
const MOST_BRANCHES = 4

/** One of the two links: power, antennas at both ends, losses and what the receiver needs. */
export function LinkSection({ name }: { name: LinkName }) {
  const link = setup.value[name]
  const eirp = eirpDbm(link)
  const warnings = linkWarnings(link)
  const presets = presetsFor(name)
  const isOwn = ownLinks.value.some((own) => isSameLink(own, link))
  return (
    <Section
      title={say(TITLES[name])}
      summary={`${formatNumber(link.frequencyMhz, 0)} MHz, ${formatNumber(mwFromDbm(link.powerDbm), 0)} mW`}
    >
      <div class="field field-wide first">
        <label for={`${name}-preset`}>{say('common.begin')}</label>
        <select
          id={`${name}-preset`}
          value={presets.some((preset) => preset.name === link.name) ? link.name : ''}
          onChange={(event) => {
            const preset = presets.find((each) => each.name === event.currentTarget.value)
            if (preset) changeLink(name, preset)
          }}
        >
          <option value="" disabled>
            {say('common.changed')}
          </option>
          {presets.map((preset) => (
            <option key={preset.name} value={preset.name}>
              {spokenName(preset.name)}
            </option>
          ))}
        </select>
      </div>
      <div class="fields spaced">
        <NumberField
          label={say('link.frequency')}
          unit="MHz"
          value={link.frequencyMhz}
          digits={1}
          min={LIMITS.frequencyMhz[0]}
          max={LIMITS.frequencyMhz[1]}
          step={5}
          help={name === 'video' ? say('link.videoLinkAlsoSets') : say('link.controlLink')}
          onChange={(frequencyMhz) => changeLink(name, { frequencyMhz })}
        />
        <NumberField
          label={say('link.power')}
          unit="mW"
          value={mwFromDbm(link.powerDbm)}
          digits={1}
          min={0.1}
          max={100000}
          step={25}
          help={say('link.transmittersSocket')}
          onChange={(mw) => changeLink(name, { powerDbm: dbmFromMw(mw) })}
        />
        <NumberField
          label={say('link.power')}
          unit="dBm"
          value={link.powerDbm}
          digits={1}
          min={LIMITS.powerDbm[0]}
          max={LIMITS.powerDbm[1]}
          step={1}
          help={say('link.samePower20Dbm')}
          onChange={(powerDbm) => changeLink(name, { powerDbm })}
        />
        <NumberField
          label={say('common.sensitivity')}
          unit="dBm"
          value={link.sensitivityDbm}
          digits={1}
          min={LIMITS.sensitivityDbm[0]}
          max={LIMITS.sensitivityDbm[1]}
          step={1}
          help={say('link.levelWhichPictureControl')}
          onChange={(sensitivityDbm) => changeLink(name, { sensitivityDbm })}
        />
        <NumberField
          label={say('link.fadeMarginWanted')}
          unit="dB"
          value={link.fadeMarginDb}
          digits={1}
          min={LIMITS.fadeMarginDb[0]}
          max={LIMITS.fadeMarginDb[1]}
          step={1}
          help={say('link.haveHandWhatNo')}
          onChange={(fadeMarginDb) => changeLink(name, { fadeMarginDb })}
        />
        <NumberField
          label={say('common.bodyFrame')}
          unit="dB"
          value={link.bodyLossDb}
          digits={1}
          min={LIMITS.lossDb[0]}
          max={LIMITS.lossDb[1]}
          step={0.5}
          help={say('link.lostPilotsBodyBattery')}
          onChange={(bodyLossDb) => changeLink(name, { bodyLossDb })}
        />
        <NumberField
          label={say('link.excessLoss')}
          unit="dB"
          value={link.excessLossDb}
          digits={1}
          min={LIMITS.excessLossDb[0]}
          max={LIMITS.excessLossDb[1]}
          step={0.5}
          help={
            link.spreadDb === null
              ? say('link.lostBeyondAllComputed')
              : say('link.flownSingleLevelsScattered', { spreadDb: formatNumber(link.spreadDb, 1) })
          }
          onChange={(excessLossDb) => changeLink(name, { excessLossDb })}
        />
      </div>
      <p class="section-note small">
        {say('link.eirpDbmMwNational', {
          eirp: formatNumber(eirp, 1),
          eirp2: formatNumber(mwFromDbm(eirp), 0),
        })}
      </p>
      {warnings.map((warning) => (
        <p key={warning} class="caution-note">
          {warning}
        </p>
      ))}
      <h3>{say('common.aircraft')}</h3>
      <div class="fields">
        <AntennaFields
          of={say('link.aircraft')}
          antenna={link.aircraft.antenna}
          frequencyMhz={link.frequencyMhz}
          onChange={(antenna) => changeLink(name, { aircraft: { ...link.aircraft, antenna } })}
        />
      </div>
      {link.branches.map((branch, i) => (
        <BranchFields key={i} name={name} index={i} branch={branch} />
      ))}
      <div class="row">
        <button
          type="button"
          disabled={link.branches.length >= MOST_BRANCHES}
          title={say('link.receiverTakesBestAntennas')}
          onClick={() => changeLink(name, { branches: [...link.branches, link.branches[0]] })}
        >
          {say('link.anotherGroundAntenna')}
        </button>
      </div>
      <div class="row">
        <input
          type="text"
          class="link-name"
          aria-label={say('link.nameLink', { name })}
          value={spokenName(link.name)}
          onChange={(event) =>
            changeLink(name, { name: event.currentTarget.value.trim() || link.name })
          }
        />
        <button type="button" onClick={() => keepLink(link)} title={say('common.offerUnderName')}>
          {say('common.keep')}
        </button>
        {isOwn && (
          <button type="button" onClick={() => forgetLink(link)}>
            {say('common.forget')}
          </button>
        )}
        <button type="button" onClick={() => void saveFile(name)}>
          {say('common.save')}
        </button>
        <button type="button" onClick={() => void openFile(name)}>
          {say('common.open')}
        </button>
      </div>
    </Section>
  )
}

function BranchFields({ name, index, branch }: { name: LinkName; index: number; branch: Branch }) {
  const link = setup.value[name]
  const change = (part: Partial<Branch>) =>
    changeLink(name, { branches: link.branches.with(index, { ...branch, ...part }) })
  const { aim } = branch
  const isAimed = branch.antenna.kind !== 'isotropic'
  return (
    <>
      <h3>
        {say('common.groundAntenna')} {link.branches.length > 1 && index + 1}
        {link.branches.length > 1 && (
          <button
            type="button"
            class="link"
            onClick={() => changeLink(name, { branches: link.branches.toSpliced(index, 1) })}
          >
            {say('link.remove')}
          </button>
        )}
      </h3>
      <div class="fields">
        <AntennaFields
          of={say('link.groundAntenna', { index: index + 1 })}
          antenna={branch.antenna}
          frequencyMhz={link.frequencyMhz}
          onChange={(antenna) => change({ antenna })}
        />
        {isAimed && (
          <>
            <NumberField
              label={say('common.azimuth')}
              unit="°"
              value={aim.azimuthDeg}
              digits={0}
              min={0}
              max={360}
              step={5}
              help={say('link.wherePointsClockwiseTrue')}
              onChange={(azimuthDeg) => change({ aim: { ...aim, azimuthDeg } })}
            />
            <NumberField
              label={say('common.tilt')}
              unit="°"
              value={aim.tiltDeg}
              digits={0}
              min={LIMITS.tiltDeg[0]}
              max={LIMITS.tiltDeg[1]}
              step={1}
              help={say('link.howFarPointsAbove')}
              onChange={(tiltDeg) => change({ aim: { ...aim, tiltDeg } })}
            />
          </>
        )}
        <NumberField
          label={say('link.feederLoss')}
          unit="dB"
          value={branch.feederLossDb}
          digits={1}
          min={LIMITS.lossDb[0]}
          max={LIMITS.lossDb[1]}
          step={0.1}
          help={say('link.lostCablePlugs')}
          onChange={(feederLossDb) => change({ feederLossDb })}
        />
        {isAimed && (
          <button
            type="button"
            class="aim"
            disabled={!setup.value.target}
            title={setup.value.target ? undefined : say('link.chooseTargetFirst')}
            onClick={() => change({ aim: aimAtTarget() ?? aim })}
          >
            {say('link.aimTarget')}
          </button>
        )}
      </div>
    </>
  )
}

/** Direction of the target from the launch antenna. */
function aimAtTarget(): Branch['aim'] | null {
  const { launch, target, radio } = setup.value
  const path = profile.value
  if (!target || !path) return null
  if (typeof path === 'string') {
    return { azimuthDeg: Math.round(geodesic(launch, target).bearingDeg), tiltDeg: 0 }
  }
  const { azimuthDeg, elevationDeg } = geometryOfPath(path, radio.kFactor)
  return { azimuthDeg: Math.round(azimuthDeg), tiltDeg: Math.round(elevationDeg) }
}

async function saveFile(name: LinkName): Promise<void> {
  await host.saveFile(`${name}-link.json`, new TextEncoder().encode(writeLink(setup.value[name])))
}

async function openFile(name: LinkName): Promise<void> {
  const file = await host.openText(say('link.link'), ['json'])
  if (!file) return
  const found = orSentence(() => readLink(file.text, file.name))
  notice.value = typeof found === 'string' ? found : null
  if (typeof found !== 'string') changeLink(name, found)
}
