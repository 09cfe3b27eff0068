//go:build libxml2 && cgo

#include "engine.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <libxml/parser.h>
#include <libxml/parserInternals.h>
#include <libxml/tree.h>
#include <libxml/xmlerror.h>
#include <libxml/xmlschemas.h>

#if LIBXML_VERSION >= 21200
typedef const xmlError *error_pointer;
#else
typedef xmlErrorPtr error_pointer;
#endif

/* The files that the thread's schema may load while it is compiled. */
static __thread const quoin_file *allowed;
static __thread size_t allowed_count;

/* Hands out the allowed files, and nothing else: libxml2 opens no file and no
   connection of its own. */
static xmlParserInputPtr load(const char *url, const char *id, xmlParserCtxtPtr context) {
	(void)id;
	for (size_t i = 0; url != NULL && i < allowed_count; i++) {
		if (strcmp(allowed[i].name, url) != 0)
			continue;
		xmlParserInputBufferPtr buffer = xmlParserInputBufferCreateMem(
			allowed[i].text, (int)allowed[i].length, XML_CHAR_ENCODING_NONE);
		if (buffer == NULL)
			return NULL;
		xmlParserInputPtr input = xmlNewIOInputStream(context, buffer, XML_CHAR_ENCODING_NONE);
		if (input == NULL) {
			xmlFreeParserInputBuffer(buffer);
			return NULL;
		}
		input->filename = (char *)xmlStrdup((const xmlChar *)url);
		return input;
	}
	return NULL;
}

void quoin_init(void) {
	xmlInitParser();
	xmlSetExternalEntityLoader(load);
}

void quoin_errors_free(quoin_errors *errors) {
	free(errors->list);
	free(errors->text);
	memset(errors, 0, sizeof *errors);
}

/* keep copies a string behind the others and returns its offset. */
static size_t keep(quoin_errors *errors, const char *s) {
	if (s == NULL || *s == 0)
		return 0;
	size_t length = strlen(s) + 1;
	if (errors->used == 0)
		errors->used = 1;
	if (errors->used + length > errors->size) {
		size_t size = 2 * (errors->used + length) + 256;
		char *text = realloc(errors->text, size);
		if (text == NULL) {
			errors->out_of_memory = 1;
			return 0;
		}
		text[0] = 0;
		errors->text = text;
		errors->size = size;
	}
	size_t at = errors->used;
	memcpy(errors->text + at, s, length);
	errors->used += length;
	return at;
}

static void on_error(void *data, error_pointer e) {
	quoin_errors *errors = data;
	if (e == NULL || e->level < XML_ERR_ERROR || errors->out_of_memory)
		return;
	if (errors->length == errors->most) {
		errors->more++;
		return;
	}
	if (errors->length == errors->room) {
		size_t room = 2 * errors->room + 16;
		quoin_error *list = realloc(errors->list, room * sizeof *list);
		if (list == NULL) {
			errors->out_of_memory = 1;
			return;
		}
		errors->list = list;
		errors->room = room;
	}
	quoin_error x = {0};
	x.line = e->line;
	x.file = keep(errors, e->file);
	x.message = keep(errors, e->message);
	xmlNodePtr node = e->node;
	while (node != NULL && node->type != XML_ELEMENT_NODE)
		node = node->parent;
	x.element = node != NULL ? (int)(intptr_t)node->_private : errors->current;
	errors->list[errors->length++] = x;
}

static void ignore(void *data, error_pointer e) {
	(void)data;
	(void)e;
}

void *quoin_compile(const quoin_file *files, size_t count, quoin_errors *errors) {
	xmlSchemaParserCtxtPtr context = xmlSchemaNewParserCtxt(files[0].name);
	if (context == NULL) {
		errors->out_of_memory = 1;
		return NULL;
	}
	allowed = files;
	allowed_count = count;
	/* What the parser of a schema's text says goes to the thread's handler. */
	xmlSetStructuredErrorFunc(errors, on_error);
	xmlSchemaSetParserStructuredErrors(context, on_error, errors);
	xmlSchemaPtr schema = xmlSchemaParse(context);
	xmlSchemaFreeParserCtxt(context);
	xmlSetStructuredErrorFunc(NULL, NULL);
	allowed = NULL;
	allowed_count = 0;
	return schema;
}

void quoin_schema_free(void *schema) { xmlSchemaFree(schema); }

/* number gives each element its number in document order. The lines are taken
   out, for libxml2 keeps them in 16 bits and searches around for more. */
static void number(xmlDocPtr doc) {
	intptr_t count = 0;
	xmlNodePtr node = xmlDocGetRootElement(doc);
	while (node != NULL) {
		if (node->type == XML_ELEMENT_NODE) {
			node->_private = (void *)++count;
			node->line = 0;
			if (node->children != NULL) {
				node = node->children;
				continue;
			}
		}
		while (node != NULL && node->next == NULL)
			node = node->parent != NULL && node->parent->type == XML_ELEMENT_NODE ? node->parent : NULL;
		if (node != NULL)
			node = node->next;
	}
}

static int finish(int result, quoin_errors *errors) {
	return result < 0 || errors->out_of_memory ? QUOIN_NO_MEMORY : QUOIN_CHECKED;
}

/* not_xml tells what the parser stopped at. */
static int not_xml(xmlParserCtxtPtr parser, quoin_errors *errors) {
	error_pointer last = xmlCtxtGetLastError(parser);
	if (last == NULL || last->code == XML_ERR_NO_MEMORY)
		return QUOIN_NO_MEMORY;
	quoin_errors_free(errors);
	errors->most = 1;
	on_error(errors, last);
	return QUOIN_NOT_XML;
}

static int check_tree(xmlParserCtxtPtr parser, xmlSchemaValidCtxtPtr context, const char *text, int length,
		int options, quoin_errors *errors) {
	xmlDocPtr doc = xmlCtxtReadMemory(parser, text, length, NULL, "UTF-8", options);
	int result;
	if (doc == NULL || !parser->wellFormed) {
		result = not_xml(parser, errors);
	} else {
		number(doc);
		result = finish(xmlSchemaValidateDoc(context, doc), errors);
	}
	if (doc != NULL)
		xmlFreeDoc(doc);
	return result;
}

/* path holds the numbers of the elements that are open. Its functions are
   called before those of the schema, so that an error is about current. */
typedef struct {
	quoin_errors *errors;
	int count;
	int *open;
	size_t depth, room;
} path;

static void on_start(void *data, const xmlChar *local, const xmlChar *prefix, const xmlChar *space, int n_spaces,
		const xmlChar **spaces, int n_attrs, int n_defaulted, const xmlChar **attrs) {
	(void)local, (void)prefix, (void)space, (void)n_spaces, (void)spaces, (void)n_attrs, (void)n_defaulted, (void)attrs;
	path *p = data;
	p->errors->current = ++p->count;
	if (p->depth == p->room) {
		size_t room = 2 * p->room + 64;
		int *open = realloc(p->open, room * sizeof *open);
		if (open == NULL) {
			p->errors->out_of_memory = 1;
			return;
		}
		p->open = open;
		p->room = room;
	}
	p->open[p->depth++] = p->count;
}

static void on_end(void *data, const xmlChar *local, const xmlChar *prefix, const xmlChar *space) {
	(void)local, (void)prefix, (void)space;
	path *p = data;
	if (p->depth > 0 && !p->errors->out_of_memory)
		p->errors->current = p->open[--p->depth];
}

static void on_text(void *data, const xmlChar *text, int length) {
	(void)text, (void)length;
	path *p = data;
	if (p->depth > 0)
		p->errors->current = p->open[p->depth - 1];
}

static int check_stream(xmlParserCtxtPtr parser, xmlSchemaValidCtxtPtr context, const char *text, int length,
		int options, quoin_errors *errors) {
	path open = {.errors = errors};
	xmlSAXHandler handler = {.initialized = XML_SAX2_MAGIC, .startElementNs = on_start, .endElementNs = on_end,
		.characters = on_text, .cdataBlock = on_text};
	xmlParserInputBufferPtr buffer = xmlParserInputBufferCreateMem(text, length, XML_CHAR_ENCODING_NONE);
	if (buffer == NULL)
		return QUOIN_NO_MEMORY;
	xmlParserInputPtr input = xmlNewIOInputStream(parser, buffer, XML_CHAR_ENCODING_NONE);
	if (input == NULL) {
		xmlFreeParserInputBuffer(buffer);
		return QUOIN_NO_MEMORY;
	}
	xmlCtxtUseOptions(parser, options);
	inputPush(parser, input);
	xmlSAXHandlerPtr own = parser->sax;
	parser->sax = &handler;
	parser->userData = &open;
	int result = QUOIN_NO_MEMORY;
	xmlSchemaSAXPlugPtr plug = xmlSchemaSAXPlug(context, &parser->sax, &parser->userData);
	if (plug != NULL) {
		xmlParseDocument(parser);
		result = parser->wellFormed ? finish(0, errors) : not_xml(parser, errors);
		xmlSchemaSAXUnplug(plug);
	}
	parser->sax = own;
	free(open.open);
	return result;
}

int quoin_check(void *schema, const char *text, int length, int stream, quoin_errors *errors) {
	/* The text was read already, within limits and without a document type, so
	   that the parser's own limits have nothing to add. */
	int options = XML_PARSE_NOENT | XML_PARSE_NONET | XML_PARSE_HUGE | XML_PARSE_COMPACT |
		XML_PARSE_NOWARNING | XML_PARSE_NOERROR;
	int result = QUOIN_NO_MEMORY;
	xmlParserCtxtPtr parser = xmlNewParserCtxt();
	xmlSchemaValidCtxtPtr context = xmlSchemaNewValidCtxt(schema);
	if (parser != NULL && context != NULL) {
		xmlSetStructuredErrorFunc(NULL, ignore);
		xmlSchemaSetValidStructuredErrors(context, on_error, errors);
		result = (stream ? check_stream : check_tree)(parser, context, text, length, options, errors);
		xmlSetStructuredErrorFunc(NULL, NULL);
	}
	if (context != NULL)
		xmlSchemaFreeValidCtxt(context);
	if (parser != NULL)
		xmlFreeParserCtxt(parser);
	return result;
}
