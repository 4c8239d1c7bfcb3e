package api

import (
	"net/http"
	"strings"
	"sync"

	"github.com/labstack/echo/v4"
)

// documentPath is where the OpenAPI document is served.
const documentPath = "/openapi.json"

// Page is something that is served as it is: the document, a page about it,
// and what such a page needs. A page is answered whatever the load and
// whatever the caller accepts.
type Page struct {
	// Path is the path, without parameters.
	Path string
	// MediaType is the media type without parameters. Text is taken to be UTF-8.
	MediaType string
	// Body is what is served.
	Body []byte
	// Policy is the Content-Security-Policy. Left out, it is that of every answer: nothing may be loaded.
	Policy string
}

// pages lists what is served beside the operations.
func (c Config) pages() []Page {
	if len(c.Document) == 0 {
		return c.Pages
	}
	return append([]Page{{Path: documentPath, MediaType: mediaJSON, Body: c.Document}}, c.Pages...)
}

// addPages registers the pages, each with its entity tag, which is worked out
// once, when it is first asked for: the start of the service does not wait for it.
func (s *Server) addPages(pages []Page) {
	for _, p := range pages {
		tag := sync.OnceValue(func() string { return tagOf(p.Body) })
		handle := func(c echo.Context) error {
			if p.Policy != "" {
				c.Response().Header().Set("Content-Security-Policy", p.Policy)
			}
			return sendCached(c, p.MediaType, tag(), p.Body)
		}
		s.echo.Add(http.MethodGet, p.Path, handle)
		s.echo.Add(http.MethodHead, p.Path, handle)
		s.paths = append(s.paths, p.Path)
	}
}

// sendCached writes an answer that may be stored, but is asked about before
// use.
func sendCached(c echo.Context, media, tag string, body []byte) error {
	h := c.Response().Header()
	h.Set("ETag", tag)
	h.Set("Cache-Control", "no-cache")
	if matches(c.Request().Header.Values("If-None-Match"), tag) {
		c.Response().WriteHeader(http.StatusNotModified)
		return nil
	}
	write(c, http.StatusOK, withCharset(media), body)
	return nil
}

func withCharset(media string) string {
	if strings.HasPrefix(media, "text/") {
		return media + "; charset=utf-8"
	}
	return media
}
