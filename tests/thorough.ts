/** Whether the large counts are asked for: `npm run test:thorough`, which vitest.config.mts hands on to every process of a test. */
export const thorough = process.env['DAMPER_THOROUGH'] === '1';
