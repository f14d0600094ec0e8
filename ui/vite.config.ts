import { svelte } from '@sveltejs/vite-plugin-svelte'
import { svelteTesting } from '@testing-library/svelte/vite'
import { defineConfig } from 'vitest/config'

// Relative paths, so that the same files work in the window and from the browser host. Nothing is inlined:
// the content security policy allows our own files only, fonts included.
export default defineConfig({
  base: './',
  plugins: [svelte(), svelteTesting()],
  build: {
    target: 'es2022',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 400,
  },
  test: {
    environment: 'jsdom',
    include: ['src/**/*.test.ts'],
    setupFiles: ['src/testing/locale.ts'],
    clearMocks: true,
    // Other work on the machine is no fault of a test; one that hangs ends all the same.
    testTimeout: 30_000,
  },
})
