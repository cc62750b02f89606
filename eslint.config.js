import js from '@eslint/js'
import tseslint from 'typescript-eslint'

/** Folders of the house, and what each may import besides packages and itself. */
const MAY_IMPORT = {
  core: [],
  renderer: ['core', 'assets'],
  electron: ['core', 'assets'],
  assets: ['core'],
}

const FOLDERS = ['core', 'renderer', 'electron', 'assets', 'test']

/** Forbids imports that climb out of a folder into one it may not know. */
function walls(folder, allowed) {
  const closed = FOLDERS.filter((other) => other !== folder && !allowed.includes(other))
  return closed.map((other) => ({
    group: [`**/../${other}/**`, `../${other}/**`],
    message: `${folder}/ does not know ${other}/ (see DEVELOPERS.md).`,
  }))
}

const CORE_ONLY_PURE = [
  {
    regex: '^(node:|(fs|path|os|url|child_process|worker_threads|electron)(/|$))',
    message: 'core/ runs everywhere: no Node and no Electron.',
  },
  {
    // What changes over time is a signal; their core needs no window.
    regex: '^(leaflet|preact|@preact(?!/signals-core$)|comlink|vite)(/|$)',
    message: 'core/ knows no window.',
  },
]

const DOM_NAMES = [
  ...['window', 'document', 'navigator', 'location', 'localStorage', 'self', 'globalThis'],
  ...['HTMLElement', 'HTMLCanvasElement', 'CanvasRenderingContext2D', 'OffscreenCanvas'],
  ...['Worker', 'process', 'Buffer', 'require', '__dirname', '__filename'],
].map((name) => ({ name, message: 'core/ has no DOM and no Node.' }))

export default tseslint.config(
  { ignores: ['dist', 'node_modules', 'test-results', 'test/.out'] },
  js.configs.recommended,
  ...tseslint.configs.strict,
  {
    rules: {
      // A non-null assertion is how a test says that it has just checked.
      '@typescript-eslint/no-non-null-assertion': 'off',
      '@typescript-eslint/no-extraneous-class': 'off',
      '@typescript-eslint/no-explicit-any': 'error',
      eqeqeq: 'error',
      'no-console': 'off',
    },
  },
  ...Object.entries(MAY_IMPORT).map(([folder, allowed]) => ({
    files: [`${folder}/**/*.{ts,tsx}`],
    rules: {
      'no-restricted-imports': [
        'error',
        { patterns: [...walls(folder, allowed), ...(folder === 'core' ? CORE_ONLY_PURE : [])] },
      ],
    },
  })),
  {
    // Documents are marked up in JSX and become text; nothing of it is a window.
    files: ['core/brief/**/*.{ts,tsx}'],
    rules: {
      'no-restricted-imports': ['error', { patterns: [...walls('core', []), CORE_ONLY_PURE[0]] }],
    },
  },
  {
    files: ['core/**/*.{ts,tsx}'],
    rules: { 'no-restricted-globals': ['error', ...DOM_NAMES] },
  },
  {
    files: ['**/*.js'],
    languageOptions: { globals: { process: 'readonly', console: 'readonly' } },
  },
)
