'use strict';

// The console asks nobody but this server: no validator, no other document.
SwaggerUIBundle({
  url: '/openapi.json',
  dom_id: '#console',
  presets: [SwaggerUIBundle.presets.apis],
  layout: 'BaseLayout',
  validatorUrl: null,
  queryConfigEnabled: false,
  docExpansion: 'list',
  deepLinking: true,
  defaultModelsExpandDepth: -1,
  syntaxHighlight: false,
  tryItOutEnabled: false,
});

// Its choices have no names of their own.
new MutationObserver(() => {
  for (const select of document.querySelectorAll('#console select:not([aria-label])')) {
    const row = select.closest('tr[data-param-name]');
    const media = select.closest('.body-param-content-type, .content-type-wrapper, .response-control-media-type');
    const name = row ? row.dataset.paramName : media ? 'Media type' : select.closest('.servers') ? 'Server' : 'Example';
    select.setAttribute('aria-label', name);
  }
}).observe(document.getElementById('console'), { childList: true, subtree: true });
