package main

import (
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAShellReadsACommandAsItIsMeant(t *testing.T) {
	command, err := curl(refRequest{
		Method: "POST", Path: "/v1/x?a=b&c=$d", Headers: map[string]string{"Content-Type": "application/json", "X-Request-Id": "tq-1"},
		Body: []byte(`{"id": "Bo's \"pack\" $HOME"}`),
	}, []byte(`{"instance":"tq-1"}`))
	require.NoError(t, err)
	out, err := exec.CommandContext(t.Context(), "sh", "-c", "curl() { printf '%s|' \"$@\"; }\n"+command).Output()
	require.NoError(t, err)
	want := []string{
		"-sS", curlHost + "/v1/x?a=b&c=$d", "-H", "Content-Type: application/json", "-H", "X-Request-Id: tq-1",
		"--data", "{\n  \"id\": \"Bo's \\\"pack\\\" $HOME\"\n}", "",
	}
	assert.Equal(t, want, strings.Split(string(out), "|"))
	command, err = curl(refRequest{Method: "DELETE", Path: "/x", Headers: map[string]string{"X-Request-Id": "tq-1"}}, nil)
	require.NoError(t, err)
	assert.Equal(t, "curl -sS -X DELETE http://127.0.0.1:8080/x", command)
}

func TestAnExampleKeepsItsOrderAndItsNumbers(t *testing.T) {
	text, err := layout([]byte(`{"b":[1.50,2],"a":{"long":"` + strings.Repeat("x", lineWidth) + `"},"c":{},"d":[]}`))
	require.NoError(t, err)
	assert.Equal(t, "{\n  \"b\": [1.50, 2],\n  \"a\": {\n    \"long\": \""+strings.Repeat("x", lineWidth)+"\"\n  },\n  \"c\": {},\n  \"d\": []\n}", text)
	_, err = layout([]byte(`{"b":`))
	assert.Error(t, err)
}

func TestAShortenedExampleSaysWhatIsLeftOut(t *testing.T) {
	short, cuts, err := shorten([]byte(`{"n":[1,2,3],"rules":[{"a":1},{"a":[{},{},{}]},{"a":3}]}`), "")
	require.NoError(t, err)
	assert.JSONEq(t, `{"n":[1,2,3],"rules":[{"a":1},{"a":[{},{}]}]}`, string(short))
	assert.Equal(t, []cut{{"/rules", 2, 3}, {"/rules/1/a", 2, 3}}, cuts)
}

func TestADescriptionWithHTMLIsRefused(t *testing.T) {
	_, err := markdown("Give <name> here.")
	require.ErrorContains(t, err, "write it as code")
	out, err := markdown("Give `<name>`, a * b * c, cells_in_series.")
	require.NoError(t, err)
	assert.Equal(t, "<p>Give <code>&lt;name&gt;</code>, a * b * c, cells_in_series.</p>\n", string(out))
}

func TestTheReferenceHasAllThatTheDocumentHas(t *testing.T) {
	document, err := os.ReadFile("../openapi.json")
	require.NoError(t, err)
	text, err := reference(document)
	require.NoError(t, err)
	doc, err := readDocument(document)
	require.NoError(t, err)
	page := string(text)
	for name, s := range doc.Components.Schemas {
		assert.Equal(t, 1, strings.Count(page, ` id="schema-`+name+`"`), name)
		for member := range s.Properties {
			assert.Equal(t, 1, strings.Count(page, ` id="schema-`+name+"."+member+`"`), "%s.%s", name, member)
		}
	}
	for _, methods := range doc.Paths {
		for _, op := range methods {
			assert.Equal(t, 1, strings.Count(page, ` id="`+op.ID+`"`), op.ID)
			for status, r := range op.Responses {
				for _, c := range doc.response(r).Content {
					for name := range c.Examples {
						assert.Equal(t, 1, strings.Count(page, ` id="example-`+op.ID+"-"+status+"-"+name+`"`), name)
					}
				}
			}
		}
	}
	_, err = reference([]byte(`{}`))
	assert.ErrorContains(t, err, startOperation)
	_, err = reference([]byte(`[`))
	assert.Error(t, err)
}
