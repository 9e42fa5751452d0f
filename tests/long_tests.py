"""Tests that are left out of the usual run, because they repeat at length what one of them in it checks once.

`pytest -m long` runs them. Each row is the beginning of a test's name, from its file on.
"""

# Names of folders that every command is given; the two that take longest are tried with them at length.
_ODD_NAMES = (r"a\xe2\x80\xaeb", r"a\xffb", r"a\nb", r"a\x1b]0;x\x07b")

LONG = (
    "tests/faults/test_fuzz.py::test_a_guard_taken_away",
    "tests/faults/test_fuzz.py::test_what_is_read_is_of_use",
    "tests/faults/test_faults.py::test_a_protection_taken_away",
    # The other fault told in a set, and the other way in which a disk refuses, are tried in the usual run.
    "tests/journeys/test_from_outside.py::test_what_is_told_in_a_set_stops_it_where_nothing_can_be_saved[pages-an",
    "tests/journeys/test_from_outside.py::test_chest_pain_is_answered_on_the_screen_where_nothing_can_be_saved[_takes",
    # The year 9999 is tried in the usual run, and the first year that is taken.
    "tests/commands/test_other_years.py::test_a_record_named_after_such_a_year_stops_no_command[0001",
    "tests/commands/test_other_years.py::test_a_date_of_another_year_is_told_and_no_command_fails[0001",
    "tests/commands/test_other_years.py::test_no_command_fails_on_the_first_and_the_last_year[last",
    "tests/journeys/test_fuzzed_keys.py::test_random_keys_on_the_screens",
    "tests/journeys/test_fuzzed_keys.py::test_thousands_of_random_keys[4-tern]",
    "tests/journeys/test_fuzzed_keys.py::test_thousands_of_random_keys[5-plover]",
    "tests/mechanics/test_ladder.py::test_the_ladder_holds_every_step_that_is_taut_and_below_the_ceiling_and_no_other[0.6",
    "tests/mechanics/test_ladder.py::test_the_ladder_holds_every_step_that_is_taut_and_below_the_ceiling_and_no_other[2.0",
    "tests/commands/test_odd_surroundings.py::test_drawings_in_an_encoding_of_eight_bits[latin-1",
    "tests/commands/test_odd_surroundings.py::test_drawings_in_an_encoding_of_eight_bits[cp1252",
    # 70,000 files are counted in the usual run.
    "tests/store/test_backup.py::test_as_many_files_as_need_larger_numbers[1000001",
    "tests/store/test_hostile_client.py::test_a_pipe_a_folder_or_a_circle_in_place_of_a_file_is_named[pr",
    "tests/store/test_hostile_client.py::test_marks_in_a_text_harm_no_output[handout",
    "tests/store/test_hostile_client.py::test_marks_in_a_text_harm_no_output[forecast",
    # One function names a folder or a file for every command.
    *(
        f"tests/store/test_hostile_client.py::test_a_folder_with_a_name_that_a_terminal_would_obey[{name}-{command}"
        for name in _ODD_NAMES
        for command in ("forecast", "handout")
    ),
    # What is asked at the mark is looked at in the usual run.
    "tests/screens/test_questions_in_the_window.py::test_every_question",
    "tests/screens/test_themes.py::test_all_text_stands_out_on_every_screen_in_every_theme",
    # The pages of the other sizes are compared in the usual run.
    "tests/screens/test_proof.py::test_how_it_looks[120x40]",
    "tests/screens/test_proof.py::test_the_text_around_the_screen_is_in_the_language_of_the_content",
    "tests/screens/therapist/test_steering_screen.py::test_every_page_of_steering[120x40]",
    "tests/screens/therapist/test_therapist_snapshots.py::test_pages[intake-120x40]",
    "tests/screens/therapist/test_therapist_snapshots.py::test_pages[caseload-120x40]",
    "tests/screens/therapist/test_visit_screen.py::test_every_page_of_a_visit[120x40]",
    "tests/screens/therapist/test_therapist_snapshots.py::test_pages[charts-120x40]",
    # Each page of a preview is one of the session, which are compared at 80x24 in the usual run.
    "tests/screens/therapist/test_therapist_snapshots.py::test_pages[preview-",
    "tests/screens/plain/test_plain_session.py::test_the_same_answers_give_the_same_record_as_the_screens[given1]",
    "tests/screens/plain/test_plain_session.py::test_the_same_answers_give_the_same_record_as_the_screens[given2]",
    "tests/screens/test_snapshots.py::test_every_screen[120x40]",
    # The smallest size is compared in German, and each page is looked at in it by the tests of windows.
    "tests/screens/test_snapshots.py::test_every_screen[60x20]",
    "tests/screens/test_snapshots.py::test_the_screens_of_a_set_in_german[60x20]",
    # Windows of other sizes are looked at in the usual run.
    *(
        f"tests/screens/therapist/test_nothing_more_to_show.py::{test}"
        for test in (
            "test_keys_that_scroll_are_named_where_something_scrolls[size1]",
            "test_keys_that_scroll_are_named_where_something_scrolls[size3]",
            "test_all_keys_and_all_that_scrolls_are_within_the_window[size1]",
            "test_all_keys_and_all_that_scrolls_are_within_the_window[size2]",
            "test_all_keys_and_all_that_scrolls_are_within_the_window[size3]",
        )
    ),
    "tests/screens/therapist/test_wide_pages.py::test_an_instruction_is_opened_by_its_letter_or_from_the_list[size0",
    "tests/screens/therapist/test_wide_pages.py::test_the_history_is_a_list_and_says_all_of_the_chosen_session[size0",
    "tests/screens/therapist/test_preview_screen.py::test_every_stop_shows_the_page_of_the_session_itself[size1",
    # What is typed wrong in another field is told in the usual run, and a draft that cannot be deleted at all.
    "tests/screens/therapist/test_intake_screen.py::test_a_fault_of_an_exercise_is_shown_at_its_own_field[typed2",
    "tests/screens/therapist/test_intake_screen.py::test_a_fault_of_an_exercise_is_shown_at_its_own_field[typed4",
    "tests/screens/therapist/test_visit_screen.py::test_a_signed_visit_is_called_signed_where_its_draft_cannot_be_deleted"
    "[False",
    # A broken file, and storms of keys, are tried in the usual run.
    "tests/screens/test_proof.py::test_files_that_do_not_fit_each_other_leave_the_last_good_screen",
    "tests/journeys/test_fuzzed_keys.py::test_thousands_of_random_keys[1-tern]",
    # That it is killed, without a word before, is tried in the usual run.
    "tests/journeys/test_in_a_terminal.py::test_ended_from_outside_in_a_set_goes_on_there[1--1]",
    "tests/journeys/test_in_a_terminal.py::test_ended_from_outside_in_a_set_goes_on_there[15-143]",
    "tests/mechanics/test_ladder.py::test_the_ladder_holds_every_step_that_is_taut_and_below_the_ceiling_and_no_other[1.2-90",
    # Commands that only read: of these, `history` and `setup` are watched in the usual run.
    *(
        f"tests/privacy/test_privacy.py::test_no_network_no_program_and_no_file_but_where_it_belongs[{command}"
        for command in ("forecast", "preview", "check")
    ),
    # One client of one exercise and one of several are read in the usual run.
    *(
        f"tests/reports/test_nothing_unfilled.py::test_of_every_client_in_both_languages[{client}"
        for client in ("avocet", "heron", "plover", "curlew-en-forecast")
    ),
    # Another unit and other words stand in the row; a session of it is done on the screens in the usual run.
    "tests/journeys/test_raise_and_row.py::test_a_whole_session_of_a_raise",
    "tests/journeys/test_raise_and_row.py::test_every_command_knows_them[raise_low_anchor",
    "tests/journeys/test_raise_and_row.py::test_every_command_knows_them[raise-",
    "tests/screens/therapist/test_intake_screen.py::test_a_fault_of_an_exercise_is_shown_at_its_own_field[typed0",
    "tests/screens/therapist/test_intake_screen.py::test_a_fault_of_an_exercise_is_shown_at_its_own_field[typed1",
    "tests/screens/therapist/test_intake_screen.py::test_a_fault_of_an_exercise_is_shown_at_its_own_field[typed5",
    "tests/screens/therapist/test_intake_screen.py::test_a_fault_of_an_exercise_is_shown_at_its_own_field[typed3",
    # How one field may be typed; a client is taken on whole in the usual run.
    "tests/screens/therapist/test_intake_screen.py::test_a_forgotten_mark_between_two_points_is_no_fault",
    # Each page is looked at in one of two windows.
    *(
        f"tests/screens/therapist/test_conditions_shown.py::test_the_pages_show_them[{page}"
        for page in (
            "_steering-keys2-size1",
            "_steering-keys1-size0",
            "_client_page-keys0-size0",
            "_preview-keys3-size0",
        )
    ),
    "tests/screens/therapist/test_intake_screen.py::test_leaving_asks_and_leaves_nothing_behind[ctrl+c]",
    # One function drops them all by how they begin; a driver, a rate and pressed keys are tried in the usual run.
    *(
        f"tests/commands/test_odd_surroundings.py::test_variables_of_the_library_neither_end_nor_answer_a_session[{name}"
        for name in (
            "TEXTUAL_DRIVER-nonsense",
            "TEXTUAL_SCREENSHOT",
            "TEXTUAL_LOG",
            "TEXTUAL_ANIMATIONS",
            "TEXTUAL_COLOR_SYSTEM",
            "TEXTUAL_FILTERS",
            "TEXTUAL_THEME",
            "TEXTUAL_DIM_FACTOR",
        )
    ),
    # Seeds: of twenty merges, of four lives, and of every second part of a record, the usual run has enough to fail.
    *(
        f"tests/store/programme/test_merges.py::test_copies_merged_in_any_order_say_the_same[{seed}]"
        for seed in range(20, 100)
    ),
    *(
        f"tests/store/programme/test_lives.py::test_what_holds_after_every_session_of_a_life[{seed}]"
        for seed in range(4, 8)
    ),
    *(
        f"tests/store/test_damaged_record.py::test_the_programme_goes_on_from_where_it_stood[{part}]"
        for part in range(1, 20, 2)
    ),
    # Another client's cues and bands, in the same letters.
    *(
        f"tests/screens/test_legibility.py::test_the_large_letters_are_comfortable_at_three_metres[avocet-{size}"
        for size in ("60x20", "80x24", "120x40")
    ),
    "tests/reports/test_handout.py::test_the_same_client_gives_the_same_bytes[a4-heron",
    "tests/reports/test_handout.py::test_the_same_client_gives_the_same_bytes[a4-plover",
    "tests/reports/test_handout.py::test_the_same_client_gives_the_same_bytes[a4-avocet",
    *(
        f"tests/reports/test_handing_out.py::test_a_handout_is_written[{client}"
        for client in ("letter-heron", "letter-plover", "letter-avocet")
    ),
    *(
        f"tests/reports/test_handout.py::test_it_is_one_page_of_that_paper[{client}"
        for client in ("letter-heron", "letter-plover")
    ),
    # A4 is checked for every client, and the size of both.
    *(
        f"tests/reports/test_handout.py::{test}[letter-{client}"
        for test in (
            "test_its_text_is_its_words",
            "test_its_fonts_are_embedded",
            "test_the_same_client_gives_the_same_bytes",
            "test_nothing_leaves_the_printable_part",
            "test_lengths_are_as_long_as_the_scale_bar_says",
        )
        for client in ("plover", "heron", "avocet")
    ),
    # Commands that print or write one file: what their examples do is also done in other tests, without a terminal.
    *(
        f"tests/commands/test_helps.py::test_every_example_runs_as_it_stands[{command}]"
        for command in (
            "begin",
            "guide",
            "hazards",
            "keys",
            "new",
            "preview",
            "progress",
            "proof",
            "restore",
            "upgrade",
            "letter",
            "measured",
            "rehearse",
            "audit",
            "bands",
            "changed",
            "check",
            "export",
            "forecast",
            "handout",
            "history",
            "schema",
            "setup",
            "sound",
            "session",
            "practice",
        )
    ),
)


def is_long(name: str) -> bool:
    """Whether a test, by its name from its file on, is left out of the usual run."""
    return name.startswith(LONG)
