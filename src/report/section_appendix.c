/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/appendix.h"

#include "report/sections.h"

#define ROWS_MAX 60 /* about a page */

void appendix_table(struct document *document, struct table *table, const char *elsewhere)
{
    if (!table || table->row_count <= ROWS_MAX) {
        document_table(document, table);
        return;
    }
    document_add(document, BLOCK_TEXT, "%s: %zu rows, too many to be read here; %s has them.", table->caption,
                 table->row_count, elsewhere);
    document->failed = document->failed || table->failed;
    table_free(table);
}

void section_appendix(const struct view *view, struct document *document)
{
    if (view->results->run_count == 0)
        return;
    document_section(document, "appendix", "Appendix: all points, run by run");
    appendix_runs(view, document);
    appendix_spectra(view, document);
    appendix_tones(view, document);
    appendix_hearing(view, document);
    appendix_differences(view, document);
    appendix_bands(view, document);
}
