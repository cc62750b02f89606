import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { IntlMessageFormat } from 'intl-messageformat'
import ts from 'typescript'
import { afterEach, describe, expect, test } from 'vitest'
import { checkWithin } from '../../core/errors'
import { readLink } from '../../core/radio/link'
import { VIDEO_PRESETS } from '../../core/radio/presets'
import { bestLanguage, language, LANGUAGES } from '../../core/words/language'
import { dayWords } from '../../core/words/moment'
import { say } from '../../core/words/say'
import de from '../../core/words/texts/de.json'
import en from '../../core/words/texts/en.json'
import { spokenName } from '../../core/words/typicalNames'
import { formatDistance, formatNumber, plainNumber } from '../../core/words/units'
import { projectFolder } from '../../electron/node/paths'

afterEach(() => {
  language.value = 'en'
})

const catalogues: Readonly<Record<string, Readonly<Record<string, string>>>> = { en, de }

interface Part {
  readonly type: number
  readonly value?: unknown
  readonly options?: Readonly<Record<string, { readonly value: readonly Part[] }>>
}

/** Names of all that a message is filled with, inside its plurals too. */
function valuesOf(parts: readonly Part[]): string[] {
  const names = parts.flatMap(({ type, value, options }) => [
    // 0 is plain text, 7 the number of a plural.
    ...(type === 0 || type === 7 ? [] : [String(value)]),
    ...Object.values(options ?? {}).flatMap((option) => valuesOf(option.value)),
  ])
  return [...new Set(names)].sort()
}

function valuesIn(message: string): string[] {
  const read = new IntlMessageFormat(message, 'en', undefined, { ignoreTag: true })
  return valuesOf(read.getAst() as readonly Part[])
}

/** The name of a text and what it is filled with, where one is said now or handed on. */
function saidAt(node: ts.Node): readonly (ts.Expression | undefined)[] {
  if (ts.isCallExpression(node) && node.expression.getText() === 'say') return node.arguments
  if (!ts.isObjectLiteralExpression(node)) return []
  const member = (name: string) =>
    node.properties.find(
      (each) => ts.isPropertyAssignment(each) && each.name.getText() === name,
    ) as ts.PropertyAssignment | undefined
  const key = member('key')?.initializer
  const isText = key && ts.isStringLiteral(key) && Object.hasOwn(en, key.text)
  return isText ? [key, member('values')?.initializer] : []
}

describe('catalogues', () => {
  test.each(Object.keys(LANGUAGES))('%s has every text, with the same values', (tag) => {
    expect(Object.keys(catalogues[tag]).sort()).toEqual(Object.keys(en).sort())
    const other = Object.entries(en).filter(
      ([key, text]) => String(valuesIn(text)) !== String(valuesIn(catalogues[tag][key])),
    )
    expect(other.map(([key]) => key)).toEqual([])
  })

  test('every text is said somewhere, and filled with what it asks for', () => {
    const used = new Set<string>()
    const wrong: string[] = []
    for (const folder of ['core', 'renderer', 'electron']) {
      const names = readdirSync(join(projectFolder, folder), { recursive: true, encoding: 'utf8' })
      for (const name of names.filter((each) => /\.tsx?$/.test(each))) {
        const path = join(projectFolder, folder, name)
        const source = ts.createSourceFile(path, readFileSync(path, 'utf8'), 99, true)
        const visit = (node: ts.Node): void => {
          if (ts.isStringLiteral(node) && Object.hasOwn(en, node.text)) used.add(node.text)
          const [key, values] = saidAt(node)
          if (key && ts.isStringLiteral(key)) {
            const given =
              values && ts.isObjectLiteralExpression(values)
                ? values.properties.map((each) => each.name?.getText() ?? '')
                : []
            const asked = valuesIn(en[key.text as keyof typeof en])
            if (String(given.sort()) !== String(asked)) wrong.push(`${name}: ${key.text}`)
          }
          if (ts.isNewExpression(node) && node.expression.getText() === 'PilotError') {
            const written = node.arguments?.[0]
            const isPlain =
              written && (ts.isTemplateExpression(written) || ts.isStringLiteral(written))
            // The command line alone speaks one language.
            if (isPlain && folder !== 'electron') wrong.push(`${name}: ${written.getText()}`)
          }
          ts.forEachChild(node, visit)
        }
        visit(source)
      }
    }
    expect(wrong).toEqual([])
    expect(Object.keys(en).filter((key) => !used.has(key))).toEqual([])
  })
})

describe('languages', () => {
  test('the first wanted one that is spoken', () => {
    expect(bestLanguage(['fr-FR', 'de-AT', 'en'])).toBe('de')
    expect(bestLanguage(['fr'])).toBe('en')
    expect(bestLanguage([])).toBe('en')
  })

  test('numbers, distances, days and plurals', () => {
    const day = new Date(2026, 2, 5, 12)
    expect(formatNumber(12345.678, 1)).toBe('12,345.7')
    expect(dayWords(day)).toBe('5 Mar 2026')
    language.value = 'de'
    expect(formatNumber(12345.678, 1)).toBe('12.345,7')
    expect(formatNumber(-0.01, 1)).toBe('0,0')
    expect(plainNumber(12345.25)).toBe('12345,25')
    expect(formatDistance(2345, 'metric')).toBe('2,35 km')
    expect(dayWords(day)).toBe('05.03.2026')
    expect(say('surface.obstacle', { obstacles: 1 })).toBe('1 Hindernis')
    expect(say('surface.obstacle', { obstacles: 3 })).toBe('3 Hindernisse')
  })

  test('what files and values are refused for is said in it, by schemas too', () => {
    language.value = 'de'
    expect(() => checkWithin({ key: 'wind.wind' }, 99.5, [0, 60], 'm/s')).toThrow(
      'Wind: 99,5 m/s geht nicht; einen Wert von 0 bis 60 m/s angeben.',
    )
    expect(() => readLink('{', 'x.json')).toThrow('„x.json“ ist nicht als JSON zu lesen')
    const wrong = JSON.stringify({ name: 'x', direction: 'down', frequency_mhz: 'viel' })
    expect(() => readLink(wrong, 'x.json')).toThrow(/im Feld frequency_mhz: ungültige/)
  })

  test('typical values are called by the language, a name of one’s own is not', () => {
    language.value = 'de'
    expect(spokenName(VIDEO_PRESETS[1].name)).toBe('Video 5,8 GHz, 200 mW (typisch)')
    expect(spokenName('Toplader')).toBe('Toplader')
  })
})
