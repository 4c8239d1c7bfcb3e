//go:build browser

package browser

import (
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/api"
)

// known lists the rules that Swagger UI 5.35.0 breaks by the structure of its
// page, which a style sheet cannot mend: a button that holds a link.
func known() []string { return []string{"nested-interactive"} }

func but(found, rules []string) []string {
	return slices.DeleteFunc(found, func(f string) bool {
		id, _, _ := strings.Cut(f, " ")
		return slices.Contains(rules, id)
	})
}

func TestTheConsoleSendsARequest(t *testing.T) {
	b, origin := browser(t), serve(t)
	v := open(t, b, origin, "/docs/try", view{width: 1280, scripts: true})
	const op = "#operations-plans-createChargePlan"
	require.NoError(t, chromedp.Run(v.ctx, chromedp.WaitVisible(op, chromedp.ByQuery)))
	v.picture(t, "try.png", screenshot)
	assert.Empty(t, but(v.axe(t), known()), "closed")
	var operations int
	v.eval(t, `document.querySelectorAll(".opblock").length`, &operations)
	assert.Len(t, api.Operations(api.Config{}), operations)
	require.NoError(t, chromedp.Run(
		v.ctx,
		chromedp.Click(op+" .opblock-summary-control", chromedp.ByQuery),
		chromedp.WaitVisible(op+" .try-out__btn", chromedp.ByQuery),
		chromedp.Click(op+" .try-out__btn", chromedp.ByQuery),
		chromedp.WaitVisible(op+" .execute", chromedp.ByQuery),
	))
	assert.Empty(t, but(v.axe(t), known()), "open")
	require.NoError(t, chromedp.Run(
		v.ctx,
		chromedp.Click(op+" .execute", chromedp.ByQuery),
		chromedp.WaitVisible(op+" .live-responses-table .response-col_status", chromedp.ByQuery),
	))
	var status string
	v.eval(t, `document.querySelector("`+op+` .live-responses-table tbody .response-col_status").textContent.trim()`, &status)
	assert.Equal(t, "200", status)
	v.eval(t, `(document.querySelector("`+op+`").scrollIntoView(), 1)`, new(int))
	v.picture(t, "try-open.png", screenshot)
	away, violations := v.elsewhere()
	assert.Empty(t, away)
	assert.Empty(t, violations)
	var posted int
	v.mu.Lock()
	for _, url := range v.asked {
		if url == origin+"/v1/charge-plans" {
			posted++
		}
	}
	v.mu.Unlock()
	assert.Equal(t, 1, posted)
}
