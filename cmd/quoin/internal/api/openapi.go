package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"
)

// apiVersion is raised with what is added to the API.
const apiVersion = "1.0.0"

// Describe is the description of the API as OpenAPI 3.1, in JSON, made of the table of
// operations and the Go types of their answers. It is the same every time.
func Describe() ([]byte, error) {
	s := &schemas{components: map[string]any{}}
	problems := object{"application/problem+json": object{"schema": s.of(typeOf(problem{}))}}
	paths := object{}
	for _, op := range operations() {
		item, _ := paths[Prefix+op.Path].(object)
		if item == nil {
			item = object{}
			paths[Prefix+op.Path] = item
		}
		item[strings.ToLower(op.Method)] = op.describe(s)
	}
	doc := object{
		"openapi": "3.1.0",
		"info": object{
			"title": "Quoin", "version": apiVersion,
			"description": "Job tickets of a printing plant: check, plan, convert, hand in, follow, and read the books.",
		},
		"servers":  []any{object{"url": "/"}},
		"security": []any{object{"token": []any{}}, object{"session": []any{}}, object{"certificate": []any{}}},
		"paths":    paths,
		"components": object{
			"schemas": s.components,
			"responses": object{"Problem": object{"description": "what is wrong, where, and what to do",
				"content": problems}},
			"securitySchemes": object{
				"token": object{"type": "http", "scheme": "bearer", "description": "the token of a partner"},
				"session": object{"type": "apiKey", "in": "cookie", "name": "quoin-session",
					"description": "of who is logged in at the board"},
				"certificate": object{"type": "mutualTLS", "description": "the client certificate of a partner"},
			},
		},
	}
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	if err := enc.Encode(doc); err != nil {
		return nil, fmt.Errorf("write the description: %w", err)
	}
	return text.Bytes(), nil
}

func (op *operation) describe(s *schemas) object {
	out := object{
		"operationId": op.ID, "summary": op.Summary, "tags": []string{op.Group},
		"description": "For partners with one of the roles: " + strings.Join(texts(op.Roles),
			", ") + "; admin includes all.",
		"x-roles": texts(op.Roles),
	}
	parameters := []any{}
	for _, p := range op.Params {
		parameters = append(parameters, p.describe())
	}
	header := func(name, says string, required bool) {
		parameters = append(parameters, object{"name": name, "in": "header", "required": required,
			"description": says,
			"schema":      object{"type": "string"}})
	}
	if op.Match {
		header("If-Match", "ETag of the job as it was read, or *", true)
	}
	if op.Tagged && op.Method == http.MethodGet {
		header("If-None-Match", "ETag that is known already", false)
	}
	if op.Once {
		header("Idempotency-Key", "1 to 200 visible letters; the same key and body give the same jobs", false)
	}
	if op.ID == "events" {
		header("Last-Event-ID", "number of the last event that is known", false)
	}
	if len(parameters) > 0 {
		out["parameters"] = parameters
	}
	if op.Body != nil {
		out["requestBody"] = op.Body.body(s)
	}
	out["responses"] = op.responses(s)
	return out
}

func (b *content) body(s *schemas) object {
	schema := object{}
	if b.Value != nil {
		return object{"required": true, "description": b.Says,
			"content": object{b.Media: object{"schema": s.of(typeOf(b.Value))}}}
	}
	form := object{"type": "object", "properties": object{"ticket": object{"type": "string",
		"contentMediaType": b.Media}}}
	return object{"required": true, "description": b.Says, "content": object{
		b.Media: object{"schema": schema}, "application/vnd.cip4-jdf+xml": object{"schema": schema},
		"application/vnd.cip4-xjdf+xml": object{"schema": schema}, "multipart/form-data": object{"schema": form},
	}}
}

func (op *operation) responses(s *schemas) object {
	bodies := object{}
	var says []string
	for _, one := range op.Answer {
		schema := object{}
		if one.Value != nil {
			schema = s.of(typeOf(one.Value))
		}
		bodies[one.Media] = object{"schema": schema}
		says = append(says, one.Says)
	}
	done := object{"description": strings.Join(says, "; "), "content": bodies}
	headers := object{}
	if op.Tagged {
		headers["ETag"] = object{"description": "of the job as it is answered", "schema": object{"type": "string"}}
	}
	if op.Once {
		headers["Location"] = object{"description": "the first of the jobs", "schema": object{"type": "string"}}
	}
	if len(headers) > 0 {
		done["headers"] = headers
	}
	out := object{strconv.Itoa(max(op.Status, http.StatusOK)): done,
		"default": object{"$ref": "#/components/responses/Problem"}}
	if op.Tagged && op.Method == http.MethodGet {
		out["304"] = object{"description": "it is as it was"}
	}
	return out
}

func (p param) describe() object {
	schema := object{"type": "string"}
	switch p.Type {
	case "integer":
		schema = object{"type": "integer", "minimum": p.Min}
		if p.Max > 0 {
			schema["maximum"] = p.Max
		}
	case "date":
		schema["format"] = "date"
	}
	if len(p.Allow) > 0 {
		schema["enum"] = p.Allow
	}
	if p.Usual != "" {
		schema["default"] = any(p.Usual)
		if n, err := strconv.Atoi(p.Usual); err == nil && p.Type == "integer" {
			schema["default"] = n
		}
	}
	if p.Many {
		schema = object{"type": "array", "items": schema}
	}
	return object{"name": p.Name, "in": p.In, "required": p.In == "path", "description": p.Says, "schema": schema}
}
