import {
  ANTENNA_COLOURS,
  MARGIN_COLOURS,
  MARGIN_STOPS_DB,
  MARGIN_VEILS,
  MARGIN_WORDS,
} from '../../core/picture/marginShading'
import { cssColour } from '../../core/picture/colours'
import { MARGIN_CLASSES, type MarginClass } from '../../core/radio/margin'
import { marginStyle, shownLink } from '../state/links'
import { linksShown, marginShares } from '../state/margin'
import { setup } from '../state/setup'
import { formatShare } from '../../core/words/units'
import { say, type TextKey } from '../../core/words/say'
import { Swatch } from './Swatch'

const EXPLANATION: Readonly<Record<MarginClass, TextKey>> = {
  comfortable: 'signalLegend.wantedFadeMarginMore',
  thin: 'signalLegend.someMarginLessThan',
  lost: 'signalLegend.belowReceiversSensitivity',
}

/** What the map shows of the signal, and what it means. */
export function SignalLegend() {
  const shares = marginShares.value
  return (
    <>
      <div class="switch" role="group" aria-label={say('signalLegend.linkShown')}>
        {(['video', 'control', 'weaker'] as const).map((link) => (
          <button
            type="button"
            key={link}
            aria-pressed={shownLink.value === link}
            onClick={() => (shownLink.value = link)}
          >
            {link === 'video'
              ? say('common.video')
              : link === 'control'
                ? say('common.control')
                : say('signalLegend.weakerBoth')}
          </button>
        ))}
      </div>
      <div class="switch" role="group" aria-label={say('signalLegend.signalShown')}>
        {(['classes', 'scale', 'antenna'] as const).map((style) => (
          <button
            type="button"
            key={style}
            aria-pressed={marginStyle.value === style}
            onClick={() => (marginStyle.value = style)}
          >
            {style === 'classes'
              ? say('signalLegend.classes')
              : style === 'scale'
                ? say('common.margin')
                : say('signalLegend.bestAntenna')}
          </button>
        ))}
      </div>
      {marginStyle.value === 'classes' && (
        <ul class="legend" aria-label={say('signalLegend.signalShareArea')}>
          {MARGIN_CLASSES.map((name, i) => (
            <li key={name}>
              <Swatch words={MARGIN_WORDS} index={i} />
              <span class="legend-name">{say(MARGIN_VEILS[name].label)}</span>
              <span class="legend-share">{shares ? formatShare(shares[i]) : '…'}</span>
              <span class="legend-note">{say(EXPLANATION[name])}</span>
            </li>
          ))}
        </ul>
      )}
      {marginStyle.value === 'scale' && (
        <div class="height-legend">
          <div
            class="height-scale"
            style={{
              background: `linear-gradient(to right, ${MARGIN_COLOURS.map(cssColour).join(', ')}), #dedacf`,
            }}
          />
          <ol aria-label={say('signalLegend.scaleMarginsDb')}>
            {MARGIN_STOPS_DB.map((stop, i) => (
              <li key={stop} style={{ left: `${(100 * i) / (MARGIN_STOPS_DB.length - 1)}%` }}>
                {stop > 0 ? `+${stop}` : stop}
              </li>
            ))}
          </ol>
        </div>
      )}
      {marginStyle.value === 'antenna' && (
        <ul class="legend" aria-label={say('signalLegend.groundAntennaDoesBest')}>
          {setup.value[linksShown.value[0]].branches.map((_, i) => (
            <li key={i}>
              <span
                class="swatch swatch-plain"
                style={{
                  background: `linear-gradient(${cssColour(ANTENNA_COLOURS[i])} 0 0), #dedacf`,
                }}
              />
              <span class="legend-name">{say('signalLegend.groundAntenna', { i: i + 1 })}</span>
            </li>
          ))}
        </ul>
      )}
      <p class="legend-rest">{say('signalLegend.lineWhereMarginZero')}</p>
    </>
  )
}
