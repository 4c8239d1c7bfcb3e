package trace

import (
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/openapi/conform"
)

// With trace=full the answer is the same text, with one more member at its end.
func TestATraceLeavesTheRestOfTheAnswerAsItIs(t *testing.T) {
	contract, err := conform.New()
	require.NoError(t, err)
	handler := contract.Watch(t, api.New(api.Config{}).Handler())
	for _, change := range []string{`{"goal":null,"curve_points":5}`, `{"goal":{"ready_in_min":75}}`, `{"pack":{"condition":["swollen"]}}`} {
		ask := func(path string) string {
			r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(request(t, change)))
			r.Header.Set("Content-Type", "application/json")
			w := httptest.NewRecorder()
			handler.ServeHTTP(w, r)
			body, err := io.ReadAll(w.Body)
			require.NoError(t, err)
			require.Equal(t, http.StatusOK, w.Code, "%s", body)
			return string(body)
		}
		plain, traced := ask("/v1/charge-plans"), ask("/v1/charge-plans?trace=full")
		before, _, found := strings.Cut(traced, `,"trace":[`)
		require.True(t, found)
		assert.Equal(t, strings.TrimSuffix(plain, "}\n"), before)
		assert.NotContains(t, plain, `"trace"`)
	}
}
