"""The headers that every response of a served guide carries."""

from __future__ import annotations

# One constant for any host: the build moves every inline script into a file, so no hash or nonce is needed.
# Style attributes stand in formulas and in the theme's own markup; style elements and inline scripts stay forbidden.
CONTENT_SECURITY_POLICY = "; ".join([
    "default-src 'none'",
    "script-src 'self' 'wasm-unsafe-eval'",
    "worker-src 'self'",
    "connect-src 'self'",
    "style-src 'self'",
    "style-src-attr 'unsafe-inline'",
    "img-src 'self' data:",
    "font-src 'self'",
    "manifest-src 'self'",
    "frame-src 'self'",
    "base-uri 'self'",
    "form-action 'self'",
    "frame-ancestors 'self'",
    # Strings become markup or script addresses only through the two policies of docs/assets/trusted-types.js, which
    # says what they let through. Browsers that don't know these two lines pass over them.
    "require-trusted-types-for 'script'",
    "trusted-types guide default",
])

HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
}
