// comlink ships the types of this file beside it under another ending.
declare module 'comlink/dist/esm/node-adapter.mjs' {
  export { default } from 'comlink/dist/esm/node-adapter'
}
