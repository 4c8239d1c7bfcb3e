package main

import (
	"bytes"
	"fmt"
	"html/template"
	"strings"

	"github.com/yuin/goldmark"
)

// markdown is a description as HTML. A description that holds HTML of its own
// is refused: the library would drop it silently.
func markdown(text string) (template.HTML, error) {
	var b bytes.Buffer
	if err := goldmark.Convert([]byte(text), &b); err != nil {
		return "", fmt.Errorf("read a description: %w", err)
	}
	if strings.Contains(b.String(), "<!-- raw HTML omitted -->") {
		return "", fmt.Errorf("a description holds HTML; write it as code: %q", text)
	}
	return template.HTML(b.String()), nil
}

// section is a part of a description under a heading of the second level.
type section struct {
	ID, Title, Text string
}

// sections takes a description apart at its headings of the second level.
func sections(text string) (intro string, list []section) {
	intro, rest, _ := strings.Cut("\n"+text, "\n## ")
	for rest != "" {
		var one string
		one, rest, _ = strings.Cut(rest, "\n## ")
		title, body, _ := strings.Cut(one, "\n")
		list = append(list, section{ID: anchor(title), Title: title, Text: body})
	}
	return strings.TrimSpace(intro), list
}

// anchor is a title as the name of a place in the page.
func anchor(title string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(title), func(r rune) bool {
		return (r < 'a' || r > 'z') && (r < '0' || r > '9')
	}), "-")
}
