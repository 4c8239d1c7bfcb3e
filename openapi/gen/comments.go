package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

const module = "github.com/wattkeel/wattkeel/"

// comments holds what the source says about types, fields and constants, by
// "package/path.Type", "package/path.Type.Field" and
// "package/path.Type=value".
type comments map[string]string

// readComments reads the packages whose types are in the document.
func readComments(root string) (comments, error) {
	c := comments{}
	for _, top := range []string{"api", "service"} {
		err := filepath.WalkDir(filepath.Join(root, top), func(p string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(p, ".go") || strings.HasSuffix(p, "_test.go") {
				return err
			}
			file, err := parser.ParseFile(token.NewFileSet(), p, nil, parser.ParseComments|parser.SkipObjectResolution)
			if err != nil {
				return fmt.Errorf("read the comments: %w", err)
			}
			rel, err := filepath.Rel(root, p)
			if err != nil {
				return fmt.Errorf("read the comments: %w", err)
			}
			c.file(path.Dir(filepath.ToSlash(rel)), file)
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	return c, nil
}

func (c comments) file(pkg string, file *ast.File) {
	for _, d := range file.Decls {
		g, is := d.(*ast.GenDecl)
		if !is {
			continue
		}
		for _, s := range g.Specs {
			switch s := s.(type) {
			case *ast.TypeSpec:
				c.typ(pkg+"."+s.Name.Name, s, g)
			case *ast.ValueSpec:
				c.constant(pkg, s)
			}
		}
	}
}

func (c comments) typ(key string, s *ast.TypeSpec, g *ast.GenDecl) {
	doc := s.Doc
	if doc == nil {
		doc = g.Doc
	}
	c[key] = reword(s.Name.Name, doc.Text())
	t, is := s.Type.(*ast.StructType)
	if !is {
		return
	}
	for _, f := range t.Fields.List {
		for _, n := range f.Names {
			c[key+"."+n.Name] = reword(n.Name, f.Doc.Text())
		}
	}
}

// constant notes what stands behind a constant of a named type.
func (c comments) constant(pkg string, s *ast.ValueSpec) {
	typ, is := s.Type.(*ast.Ident)
	if !is || len(s.Values) != 1 || s.Comment == nil {
		return
	}
	literal, is := s.Values[0].(*ast.BasicLit)
	if !is {
		return
	}
	if value, err := strconv.Unquote(literal.Value); err == nil {
		c[pkg+"."+typ.Name+"="+value] = strings.TrimSpace(s.Comment.Text())
	}
}

// reword turns a Go comment into a sentence for a reader who does not see the
// Go name with which it begins: "VoltageV is the voltage." is "The voltage.", and
// "From says where it came from." is "Where it came from."
func reword(name, comment string) string {
	text := strings.Join(strings.Fields(comment), " ")
	rest, begins := strings.CutPrefix(text, name+" ")
	if !begins {
		return text
	}
	for _, verb := range []string{"is ", "are "} {
		rest = strings.TrimPrefix(rest, verb)
	}
	if said, says := strings.CutPrefix(rest, "says "); says && (strings.HasPrefix(said, "wh") || strings.HasPrefix(said, "how ")) {
		rest = said
	}
	first, size := utf8.DecodeRuneInString(rest)
	return string(unicode.ToUpper(first)) + rest[size:]
}

// of is what is said about a type, or about one of its fields.
func (c comments) of(t reflect.Type, field string) string {
	key := keyOf(t)
	if field != "" {
		key += "." + field
	}
	text := c[key]
	if text == "" {
		panic("openapi/gen: " + key + " has no comment")
	}
	return text
}

// values lists the values of an enumeration, each with its meaning.
func (c comments) values(t reflect.Type, values []string) string {
	var b strings.Builder
	for _, v := range values {
		text := c[keyOf(t)+"="+v]
		if text == "" {
			panic("openapi/gen: the value " + v + " of " + keyOf(t) + " has no comment")
		}
		fmt.Fprintf(&b, "\n- `%s`: %s", v, text)
	}
	return b.String()
}

// keyOf is a type's package, from the top of the module, and its name.
func keyOf(t reflect.Type) string {
	return strings.TrimPrefix(t.PkgPath(), module) + "." + t.Name()
}
