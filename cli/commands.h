/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The commands, and what several of them share. */
#ifndef RESEAT_CLI_COMMANDS_H
#define RESEAT_CLI_COMMANDS_H

#include "json.h"
#include "options.h"
#include "text.h"

/* Each reads its arguments, calls the library, prints, and returns the exit code. */
int cmd_check(const arguments *args);
int cmd_allowed(const arguments *args);
int cmd_effects(const arguments *args);
int cmd_record(const arguments *args);
int cmd_history(const arguments *args);
int cmd_audit(const arguments *args);
int cmd_drift(const arguments *args);
int cmd_overview(const arguments *args);
int cmd_report(const arguments *args);
int cmd_reduce(const arguments *args);
int cmd_study(const arguments *args);
int cmd_find_seat(const arguments *args);
int cmd_correct(const arguments *args);
int cmd_suspect(const arguments *args);

/* The ten lines for who typed no command; what --help prints, and what it prints for a command. */
void help_brief(FILE *out);
void help_all(void);
void help_command(command_id id);

/*
 * The bytes of a whole file, `-` for standard input, to be freed; NULL when it cannot be read,
 * with the exit code of what has been said in *exit.
 */
char *file_load(const arguments *args, const char *name, size_t *length, int *exit);

/*
 * Puts bytes where -o says: whole or not at all. output_refuse comes first, and says why they must
 * not go there; both return EXIT_DONE or the exit code of what has been said.
 */
int output_refuse(const arguments *args);
int output_write(const arguments *args, const char *bytes, size_t length);

/* Whether standard output has taken all that was printed so far. */
bool output_is_sound(void);

/*
 * The folder of the logs, NULL with the exit code of what has been said in *exit; the spindle, and
 * who is at work, NULL where nothing says so.
 */
const char *where_dir(const arguments *args, int *exit);
const char *where_spindle(const arguments *args);
const char *where_person(void);

/* Both, for a command that reads one log and takes no other word: EXIT_DONE, or as above. */
int where_log(const arguments *args, const char **dir, const char **spindle);

/* What is asked of a log: probe, tip and time from the options. */
reseat_standing_query where_query(const arguments *args, const char *dir, const char *spindle);

/* text_fail for a log; one that is not there is answered with those that are. */
int where_fail(const arguments *args, reseat_status status, const char *dir, const char *spindle,
               const reseat_error *error);

/*
 * Recording: what was typed of a record's fields goes into it, or of those fields alone that are
 * options by their own names, and who is at work; it is appended to the log as the options say, the
 * exit code of what has been refused is returned; and what was recorded is told. A record that
 * stands while its answer cannot be printed is told of last. An error about a field is made to name
 * its option, which record_fill and record_append do themselves. Where no probe is typed the record
 * is of the only one with runs; where there is none it stays without. A run's seat must be typed.
 */
int record_need_seat(const arguments *args);
reseat_status record_fill(const arguments *args, reseat_record *record, reseat_error *error);
reseat_status record_fill_fields(const arguments *args, reseat_record *record, reseat_error *error);
void record_name_option(reseat_error *error);
int record_choose_probe(const arguments *args, const char *dir, const char *spindle,
                        reseat_record *record);
int record_append(const arguments *args, const char *dir, const char *spindle,
                  reseat_record *record, reseat_appended *done);
void record_answer(const char *spindle, reseat_record_type type, const reseat_appended *done);
void record_answer_json(json *j, const reseat_appended *done);
void record_check_output(const reseat_appended *done);

/* What is asked, from what is typed or from a log. It points into itself: not to be copied. */
typedef struct asking {
    const reseat_question *question;
    bool from_log;
    const char *dir;
    reseat_standing standing;        /* from_log: how things stand, and the question */
    reseat_standing_question logged;
    reseat_question typed;           /* else the question, and what it rests on */
    reseat_radius_curve curve;
    double dirs_deg[RESEAT_RADIUS_COUNT_MAX];
    reseat_seat_source source;       /* of the seat */
    char seat[RESEAT_SEAT_SIZE];
    bool in_use_typed;
} asking;

/* EXIT_DONE, or the exit code of what has been refused; asking_end in any case. */
int asking_begin(const arguments *args, asking *asked);
void asking_end(asking *asked);

/* Parts of it: a question from typed values alone, and the limit that is typed, 0 if none is. */
int typed_question(const arguments *args, asking *asked);
int typed_limit(const arguments *args, double *limit_mm);

/* A pair over 1 mm is most often a slip in the unit: said, not refused. */
void typed_warn_if_large(const arguments *args, option_id id);

/* The first lines of a screen, on offset and seat. */
void check_head(const arguments *args, const asking *asked);

/*
 * What else must be known of an answer: that the seat typed is not the log's; what was passed over
 * in the log; and a line each, with `before` in front, of what the log has against the probe.
 */
void check_contradiction(FILE *out, const asking *asked);
void check_remarks(FILE *out, const asking *asked);
void check_reasons(FILE *out, const char *before, const asking *asked, reseat_unit unit);

/* What check shows; in JSON the verdict recorded, too, NULL for none. */
void check_screen(const arguments *args, const asking *asked, const reseat_answer *answer);
void check_json(const asking *asked, const reseat_answer *answer, const reseat_appended *done);
const char *check_verdict(const reseat_answer *answer);
const char *check_next(const reseat_answer *answer);

/* Why the verdict is what it is, in one line; and what a log knows of the seat, and where from. */
void check_sentence(FILE *out, const asking *asked, const reseat_answer *answer, reseat_unit unit);
void check_seat(FILE *out, text_escape *escape, const asking *asked, reseat_unit unit);

/* Keys that check and allowed have in common. */
void answer_source_json(json *j, const asking *asked);
void answer_limits_json(json *j, const reseat_answer *answer);
void answer_budget_json(json *j, const reseat_answer *answer);
void answer_budget(const reseat_answer *answer, reseat_unit unit);
const char *answer_term(reseat_term term); /* what it stands for */

/* The first line of a screen: whose offset, and how old. */
void answer_source(const arguments *args, const asking *asked);

#endif
