/** What scripts/bundle-page.mjs makes of browser/: the page's own script and style, and what its security policy calls them. */
export const script: string;
export const style: string;
/** SHA-256 of each, base64. */
export const scriptHash: string;
export const styleHash: string;
