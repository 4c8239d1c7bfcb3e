package main

import (
	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/api/web"
)

// pages hands the pages to the server, which knows nothing of where they come
// from.
func pages() []api.Page {
	var list []api.Page
	for _, p := range web.Pages() {
		list = append(list, api.Page(p))
	}
	return list
}
