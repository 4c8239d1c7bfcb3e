//go:build browser

package browser

import (
	"context"
	"fmt"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/api"
)

func screenshot(ctx context.Context) ([]byte, error) { return page.CaptureScreenshot().Do(ctx) }

func TestTheReferenceReadsWithoutScripts(t *testing.T) {
	b, origin := browser(t), serve(t)
	for _, width := range []int64{320, 1280} {
		for _, dark := range []bool{false, true} {
			name := fmt.Sprintf("docs-%d-dark-%t", width, dark)
			t.Run(name, func(t *testing.T) {
				v := open(t, b, origin, "/docs", view{width: width, dark: dark})
				v.picture(t, name+".png", screenshot)
				var over int
				v.eval(t, `document.documentElement.scrollWidth - document.documentElement.clientWidth`, &over)
				assert.LessOrEqual(t, over, 0, "the page scrolls sideways")
				var dead []string
				v.eval(t, `[...document.querySelectorAll("a[href^='#']")].map(a => a.hash.slice(1)).filter(id => !document.getElementById(id))`, &dead)
				assert.Empty(t, dead, "links that lead nowhere")
				away, violations := v.elsewhere()
				assert.Empty(t, away)
				assert.Empty(t, violations)
				v.eval(t, `(document.querySelectorAll("details").forEach(d => d.open = true), 1)`, new(int))
				assert.Empty(t, v.axe(t))
				v.eval(t, `(document.querySelectorAll("details.example").forEach((d, i) => d.open = i === 0), document.getElementById("createChargePlan").scrollIntoView(), 1)`, new(int))
				v.picture(t, name+"-operation.png", screenshot)
				v.eval(t, `(document.querySelector("#createChargePlan .answers").scrollIntoView(), 1)`, new(int))
				v.picture(t, name+"-answers.png", screenshot)
			})
		}
	}
}

func TestTheReferenceLinksToWhatTheServiceHas(t *testing.T) {
	b, origin := browser(t), serve(t)
	v := open(t, b, origin, "/docs", view{width: 1280})
	var links []string
	v.eval(t, `[...new Set([...document.querySelectorAll("a[href^='/'], link")].map(a => a.href))]`, &links)
	require.GreaterOrEqual(t, len(links), 3)
	for _, link := range links {
		assert.Equal(t, 200, status(t, link), link)
	}
}

func TestTheReferencePrints(t *testing.T) {
	b, origin := browser(t), serve(t)
	v := open(t, b, origin, "/docs", view{width: 1280, dark: true})
	v.picture(t, "docs.pdf", func(ctx context.Context) ([]byte, error) {
		body, _, err := page.PrintToPDF().WithPreferCSSPageSize(true).Do(ctx)
		if err == nil {
			assert.Equal(t, "%PDF-", string(body[:5]))
			assert.Greater(t, len(body), 100_000, "the whole reference must be on paper")
		}
		return body, err
	})
}

// Each check finds the fault that it is for.
func TestTheChecksNoticeFaults(t *testing.T) {
	const faulty = `<!doctype html><html lang="en"><head><title>Faulty</title></head><body><main><h1>Faulty</h1>
<p><font color="#aaaaaa">Too faint.</font> <a href="#nowhere">Nowhere</a></p>
<pre>` + "a line that is much too long for a narrow page and is not allowed to wrap anywhere at all" + `</pre>
<img alt="" src="https://outside.invalid/a.png"></main></body></html>`
	b := browser(t)
	origin := serve(
		t,
		api.Page{Path: "/faulty", MediaType: "text/html", Body: []byte(faulty), Policy: "default-src 'none'"},
		api.Page{Path: "/open", MediaType: "text/html", Body: []byte(faulty), Policy: "img-src *"},
	)
	v := open(t, b, origin, "/faulty", view{width: 320})
	_, violations := v.elsewhere()
	require.Len(t, violations, 1)
	assert.Contains(t, violations[0], "img-src")
	var over int
	v.eval(t, `document.documentElement.scrollWidth - document.documentElement.clientWidth`, &over)
	assert.Positive(t, over)
	found := v.axe(t)
	require.NotEmpty(t, found)
	assert.Contains(t, fmt.Sprint(found), "color-contrast")
	away, _ := open(t, b, origin, "/open", view{width: 320}).elsewhere()
	assert.Equal(t, []string{"https://outside.invalid/a.png"}, away)
}
