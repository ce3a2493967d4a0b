/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/html.h"

#include "report/clean.h"
#include "report/svg.h"

#include <stdio.h>
#include <string.h>

static const char style_sheet[] =
    "<style>\n"
    ":root{--ink:#1c2126;--quiet:#5c636b;--grid:#dde2e5;--accent:#0a616b;--tint:#f1f6f6;color-scheme:light}\n"
    "*{box-sizing:border-box}\n"
    "html{scroll-behavior:smooth;scroll-padding-top:1rem}\n"
    "body{margin:0;background:#fff;color:var(--ink);font:16px/1.55 'Open Sans','Segoe UI','DejaVu Sans',system-ui,"
    "sans-serif}\n"
    ".frame{display:grid;grid-template-columns:14rem minmax(0,60rem);gap:3rem;max-width:80rem;margin:0 auto;"
    "padding:3rem 2rem}\n"
    "nav{position:sticky;top:2rem;align-self:start;max-height:calc(100vh - 4rem);overflow:auto;font-size:.86rem}\n"
    "nav p{margin:0 0 .6rem;color:var(--quiet)}\n"
    "nav ol{list-style:none;margin:0;padding:0}\n"
    "nav a{display:block;padding:.28rem 0 .28rem .8rem;border-left:2px solid var(--grid);color:var(--ink);"
    "text-decoration:none}\n"
    "nav a:hover,nav a:focus{border-color:var(--accent);color:var(--accent)}\n"
    "header{border-top:4px solid var(--accent);padding-top:1rem;margin-bottom:2rem}\n"
    "h1{font-size:2rem;line-height:1.2;margin:0 0 .4rem;overflow-wrap:anywhere}\n"
    "h2{font-size:1.4rem;color:var(--accent);margin:3.2rem 0 1rem}\n"
    "h3{font-size:1.05rem;margin:2rem 0 .6rem}\n"
    "header p,.quiet,figcaption{color:var(--quiet);font-size:.87rem}\n"
    "p{margin:0 0 .9rem;overflow-wrap:anywhere}\n"
    ".lead{font-size:1.22rem;line-height:1.5}\n"
    ".warning{border-left:4px solid var(--accent);padding:.1rem 0 .1rem .9rem}\n"
    "ul{padding-left:1.2rem;margin:0 0 1rem}\n"
    "li{margin:.35rem 0;overflow-wrap:anywhere}\n"
    "li::marker{color:var(--accent)}\n"
    "figure{margin:1.6rem 0 2rem}\n"
    "figure svg{display:block;width:100%;height:auto}\n"
    "@media screen and (max-width:36rem){figure{overflow-x:auto}figure svg{min-width:36rem}"
    "figcaption{position:sticky;left:0}}\n"
    "figcaption{margin-top:.5rem}\n"
    ".scroll{overflow-x:auto;margin:1.2rem 0 1.8rem}\n"
    "table{border-collapse:collapse;font-size:.86rem;font-variant-numeric:tabular-nums}\n"
    "caption{text-align:left;font-weight:600;padding-bottom:.5rem}\n"
    "thead th{font-weight:400;color:var(--quiet);font-size:.8rem;vertical-align:bottom;border-bottom:2px solid "
    "var(--accent)}\n"
    "th,td{padding:.22rem .55rem;text-align:right;vertical-align:top}\n"
    "th:first-child,td:first-child{padding-left:0}\n"
    "td,tbody th{white-space:nowrap}\n"
    ".t{text-align:left;white-space:normal;overflow-wrap:anywhere;min-width:8rem}\n"
    "th.t.n,td.t.n,tbody th.t.n{white-space:nowrap;min-width:0}\n"
    "tbody th{font-weight:400}\n"
    "tr.g>*{border-top:1px solid var(--grid)}\n"
    ".k{display:inline-block;width:.62em;height:.62em;margin-right:.45em;border-radius:2px}\n"
    "@media(max-width:60rem){.frame{display:block;padding:1.5rem 1rem}nav{position:static;max-height:none;"
    "margin-bottom:2rem}nav ol{display:flex;flex-wrap:wrap;gap:.2rem 1rem}}\n"
    "@media print{@page{size:A4;margin:16mm}body{font-size:9.5pt}nav{display:none}.frame{display:block;padding:0;"
    "max-width:none}figure,tr,li{break-inside:avoid}h2,h3,caption{break-after:avoid}thead{display:table-header-group}"
    ".scroll{overflow:visible}th,td{padding:.12rem .35rem}table{font-size:7.6pt}thead th{font-size:7pt}}\n"
    "</style>\n";

static void add_tagged(struct text *out, const char *open, const char *text, const char *close)
{
    text_add(out, open);
    clean_add_html(out, text);
    text_add(out, close);
}

static void add_head(struct text *out, const struct document *document)
{
    text_add(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                  "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
    add_tagged(out, "<title>", document->title, " \xe2\x80\x93 rotor noise report</title>\n");
    text_add(out, style_sheet);
    text_add(out, "</head>\n<body>\n<div class=\"frame\">\n<nav aria-label=\"Contents\">\n<p>Contents</p>\n<ol>\n");
    for (size_t i = 0; i < document->count; i++)
        if (document->items[i].kind == BLOCK_SECTION) {
            text_addf(out, "<li><a href=\"#%s\">", document->items[i].id);
            add_tagged(out, "", document->items[i].text, "</a></li>\n");
        }
    text_add(out, "</ol>\n</nav>\n<main>\n<header>\n");
    add_tagged(out, "<h1>", document->title, "</h1>\n");
    add_tagged(out, "<p>", document->subtitle, "</p>\n</header>\n");
}

#define SHORT_CELL_BYTES 32

static void add_cell(struct text *out, const struct table *table, const struct row *row, size_t column)
{
    bool is_head = column == 0;
    text_add(out, is_head ? "<th scope=\"row\"" : "<td");
    /* A short text stays on its line; a long one may be broken. */
    bool is_short = strlen(row->cells[column].text) <= SHORT_CELL_BYTES;
    text_add(out, !table->columns[column].is_text ? ">" : is_short ? " class=\"t n\">" : " class=\"t\">");
    if (row->cells[column].look != LOOK_NONE) {
        char hex[8];
        colour_hex(look_of(row->cells[column].look).colour, hex);
        text_addf(out, "<span class=\"k\" style=\"background:%s\"></span>", hex);
    }
    clean_add_html(out, row->cells[column].text);
    text_add(out, is_head ? "</th>" : "</td>");
}

static void add_table(struct text *out, const struct table *table)
{
    text_add(out, "<div class=\"scroll\" tabindex=\"0\" role=\"group\" aria-label=\"Table\"><table>\n");
    if (table->caption[0])
        add_tagged(out, "<caption>", table->caption, "</caption>\n");
    text_add(out, "<thead><tr>");
    for (size_t i = 0; i < table->column_count; i++) {
        text_add(out, table->columns[i].is_text ? "<th scope=\"col\" class=\"t n\">" : "<th scope=\"col\">");
        add_tagged(out, "", table->columns[i].header, "</th>");
    }
    text_add(out, "</tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < table->row_count; i++) {
        const struct row *row = &table->rows[i];
        text_add(out, row->begins_group ? "<tr class=\"g\">" : "<tr>");
        for (size_t k = 0; k < row->count; k++)
            add_cell(out, table, row, k);
        text_add(out, "</tr>\n");
    }
    text_add(out, "</tbody></table></div>\n");
}

static bool add_figure(struct text *out, const struct block *block, size_t number, struct err *err)
{
    char prefix[32];
    snprintf(prefix, sizeof prefix, "f%zu", number);
    text_add(out, "<figure>\n");
    if (!svg_add_figure(&block->figure, prefix, block->text, out, err))
        return false;
    add_tagged(out, "<figcaption>", block->text, "</figcaption>\n</figure>\n");
    return true;
}

static bool add_block(struct text *out, const struct block *block, size_t number, struct err *err)
{
    switch (block->kind) {
    case BLOCK_SECTION:
        text_addf(out, "<h2 id=\"%s\">", block->id);
        add_tagged(out, "", block->text, "</h2>\n");
        break;
    case BLOCK_HEADING:
        add_tagged(out, "<h3>", block->text, "</h3>\n");
        break;
    case BLOCK_LEAD:
        add_tagged(out, "<p class=\"lead\">", block->text, "</p>\n");
        break;
    case BLOCK_TEXT:
        add_tagged(out, "<p>", block->text, "</p>\n");
        break;
    case BLOCK_QUIET:
        add_tagged(out, "<p class=\"quiet\">", block->text, "</p>\n");
        break;
    case BLOCK_WARNING:
        add_tagged(out, "<p class=\"warning\">", block->text, "</p>\n");
        break;
    case BLOCK_ITEM:
        add_tagged(out, "<li>", block->text, "</li>\n");
        break;
    case BLOCK_TABLE:
        add_table(out, block->table);
        break;
    case BLOCK_FIGURE:
        return add_figure(out, block, number, err);
    }
    return true;
}

bool html_compose(const struct document *document, struct text *out, struct err *err)
{
    bool in_list = false;
    add_head(out, document);
    for (size_t i = 0; i < document->count; i++) {
        bool is_item = document->items[i].kind == BLOCK_ITEM;
        if (is_item != in_list)
            text_add(out, is_item ? "<ul>\n" : "</ul>\n");
        in_list = is_item;
        if (!add_block(out, &document->items[i], i + 1, err))
            return false;
    }
    text_add(out, in_list ? "</ul>\n" : "");
    text_add(out, "</main>\n</div>\n</body>\n</html>\n");
    return out->failed ? err_memory(err) : true;
}
