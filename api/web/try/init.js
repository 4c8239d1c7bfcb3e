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

// Its fields have no names of their own.
new MutationObserver(() => {
  for (const field of document.querySelectorAll('#console :is(select, textarea):not([aria-label])')) {
    const row = field.closest('tr[data-param-name]');
    const media = field.closest('.body-param-content-type, .content-type-wrapper, .response-control-media-type');
    field.setAttribute('aria-label',
      field.matches('textarea') ? 'Body of the request'
        : row ? row.dataset.paramName
          : media ? 'Media type'
            : field.closest('.servers') ? 'Server' : 'Example');
  }
  // A long text scrolls by the keyboard too.
  for (const text of document.querySelectorAll('#console pre:not([tabindex])')) {
    text.tabIndex = 0;
  }
}).observe(document.getElementById('console'), { childList: true, subtree: true });
