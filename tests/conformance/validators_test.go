package conformance

import (
	"encoding/json"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/openapi"
	"github.com/wattkeel/wattkeel/openapi/conform"
)

// A second reader of the document judges bodies as the checker does.
func TestTwoReadersOfTheDocumentAgree(t *testing.T) {
	doc, err := openapi3.NewLoader().LoadFromData(openapi.JSON())
	require.NoError(t, err)
	refused, passed := 0, 0
	for _, o := range operations() {
		if o.body == nil {
			continue
		}
		schema := doc.Paths.Value(o.path).GetOperation(o.method).RequestBody.Value.Content["application/json"].Schema.Value
		rapid.Check(t, func(t *rapid.T) {
			body, _, _ := drawBody(t, &o)
			var v any
			if !conform.IJSON(body) || json.Unmarshal(body, &v) != nil {
				t.Skip("not I-JSON")
			}
			ours, theirs := checker().JudgeRequest(o.method, o.path, body), doc.ValidateSchemaJSON(schema, v)
			require.Equal(t, ours == nil, theirs == nil, "%s\nthe checker: %v\nthe other: %v", body, ours, theirs)
			if ours == nil {
				passed++
			} else {
				refused++
			}
		})
	}
	require.Greater(t, refused, 20)
	require.Greater(t, passed, 20)
}
