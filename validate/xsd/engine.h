#ifndef QUOIN_XSD_ENGINE_H
#define QUOIN_XSD_ENGINE_H

#include <stddef.h>

/* A text that the loader hands out under a name. */
typedef struct {
	const char *name;
	const char *text;
	size_t length;
} quoin_file;

/* An error of libxml2. Strings are offsets into quoin_errors.text, each ended
   by a zero byte; offset 0 is the empty string. */
typedef struct {
	int element; /* number of the element in document order, from 1; 0 for none */
	int line;
	size_t file;
	size_t message;
} quoin_error;

/* Errors in the order met. Those past most are counted, not kept. */
typedef struct {
	quoin_error *list;
	size_t length, room, most, more;
	char *text;
	size_t used, size;
	int out_of_memory;
	int current; /* element that an error is about when it does not say */
} quoin_errors;

void quoin_errors_free(quoin_errors *errors);

void quoin_init(void);

/* Compiles the schema that the first file begins. The result is NULL when it is
   no schema; only errors are told, warnings are not. */
void *quoin_compile(const quoin_file *files, size_t count, quoin_errors *errors);

void quoin_schema_free(void *schema);

/* Results of quoin_check. */
enum { QUOIN_CHECKED, QUOIN_NOT_XML, QUOIN_NO_MEMORY };

/* Checks a document. When it is QUOIN_NOT_XML, the one error tells why. With
   stream no tree is built: faster, in little memory, but blind to an ID that is
   given twice. */
int quoin_check(void *schema, const char *text, int length, int stream, quoin_errors *errors);

#endif
