// Package web holds the pages about the service: the reference, which is
// generated, and the console.
package web

import (
	"embed"
	"path"
	"strings"
)

//go:embed docs try
var files embed.FS

// Page is one thing to serve as it is.
type Page struct {
	// Path is where it is served.
	Path string
	// MediaType is its media type, without parameters.
	MediaType string
	// Body is what is served.
	Body []byte
	// Policy is its Content-Security-Policy.
	Policy string
}

// What the pages may load: nothing but what this server has. The console runs
// scripts, asks the service and draws its own icons; the reference has one
// style sheet.
const (
	closed    = "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
	reference = closed + "; style-src 'self'"
	console   = closed + "; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self' data:"
)

// Pages lists everything that is served about the service, but for the
// document.
func Pages() []Page {
	return []Page{
		page("/docs", "docs/index.html", reference),
		page("/docs/docs.css", "docs/docs.css", closed),
		page("/docs/try", "try/index.html", console),
		page("/docs/try/try.css", "try/try.css", closed),
		page("/docs/try/init.js", "try/init.js", closed),
		page("/docs/try/swagger-ui.css", "try/swagger-ui.css", closed),
		page("/docs/try/swagger-ui-bundle.js", "try/swagger-ui-bundle.js", closed),
		page("/docs/try/swagger-ui-bundle.js.LICENSE.txt", "try/swagger-ui-bundle.js.LICENSE.txt", closed),
		page("/docs/try/LICENSE", "try/LICENSE", closed),
		page("/docs/try/NOTICE", "try/NOTICE", closed),
	}
}

// page panics where a file is missing, which only a broken build can bring
// about.
func page(at, file, policy string) Page {
	body, err := files.ReadFile(file)
	if err != nil {
		panic("api/web: " + err.Error())
	}
	return Page{Path: at, MediaType: mediaType(file), Body: body, Policy: policy}
}

func mediaType(file string) string {
	switch strings.ToLower(path.Ext(file)) {
	case ".html":
		return "text/html"
	case ".css":
		return "text/css"
	case ".js":
		return "text/javascript"
	}
	return "text/plain"
}
