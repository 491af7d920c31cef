"""The commands lean and shelf: springs, bars, ride and roll, and which of a shelf serve best."""

import argparse
from pathlib import Path

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.commands.car_and_limits import OUTSIDE, WITHIN, read_with_limits, say_where_readings_disagree
from reports.jobs import sharing
from reports.voice import say, say_written


def lean(options: argparse.Namespace) -> int:
    """Print springs, ride, roll and lean; write their files if there are to be some."""
    from kinematics.doubt.lean_doubt import lean_doubt
    from kinematics.loads.grip import Tyre
    from kinematics.loads.readiness import NotReadyError
    from kinematics.loads.report import lean_sheet
    from kinematics.loads.under_load import manoeuvres, under_load
    from reports.documents.document import put_document
    from reports.documents.loads import lean_document
    from reports.outputs.lean_doubt_files import lean_doubt_outputs
    from reports.outputs.lean_files import LeanFound, lean_outputs
    from reports.outputs.output import paths, write_outputs
    from reports.outputs.safe_write import make_folder, refuse_existing
    from reports.outputs.under_load_files import under_load_outputs
    from reports.tables.lean_doubt_table import show_lean_doubt
    from reports.tables.lean_table import show_lean
    from reports.tables.terminal import console, progress, show_caution, show_headline, working
    from reports.tables.under_load_table import show_under_load
    from reports.words.lean import lack_words
    from reports.words.lean_doubt import MORE, lean_headline

    car, limits = read_with_limits(options)
    say_where_readings_disagree(car)
    asked = manoeuvres(options.braking, options.driving, options.cornering)
    outputs = lean_outputs(car, options.drawing)
    loaded_outputs = under_load_outputs(car, options.drawing) if asked else []
    doubt_outputs = lean_doubt_outputs(car)
    if options.into is not None:
        refuse_existing(paths(Path(options.into), [*outputs, *loaded_outputs, *doubt_outputs]), replace=options.replace)
    try:
        with working("finding the balance"):
            tyre = Tyre(options.grip, options.grip_loss)
            sheet = lean_sheet(car, limits.working, tyre)
            loaded = under_load(car, asked) if asked else None
        with working("finding how far to trust it"):
            doubt = lean_doubt(car, sheet, limits.working, tyre, loaded)
    except NotReadyError as found:
        raise InputFaultError(options.car, [Fault("", lack_words(found.lacks))]) from None
    show_headline(lean_headline(sheet, doubt))
    out = console()
    show_lean(out, car, sheet)
    if loaded is not None:
        show_under_load(out, car, loaded)
    if options.all or doubt is None:
        show_lean_doubt(out, car, doubt)
    else:
        say(MORE)
    if options.into is not None:
        folder = Path(options.into)
        make_folder(folder)
        written = write_outputs(folder, outputs, LeanFound(sheet, doubt), replace=options.replace)
        for path in progress(written, "lean", len(outputs)):
            say_written(path)
        if loaded is not None:
            for path in write_outputs(folder, loaded_outputs, loaded, replace=options.replace):
                say_written(path)
        if doubt is not None:
            for path in write_outputs(folder, doubt_outputs, doubt, replace=options.replace):
                say_written(path)
    show_caution(out)
    put_document("lean", car, lambda: lean_document(car, sheet, loaded, doubt))
    return WITHIN


def shelf(options: argparse.Namespace) -> int:
    """Rank every combination of the springs and bars of a shelf file."""
    from kinematics.inputs.plans.shelf_file import read_shelf
    from kinematics.loads.readiness import NotReadyError
    from kinematics.loads.report import whole_car
    from kinematics.loads.shelf import rank
    from kinematics.planning.shelf_travel import shelf_travel
    from reports.documents.document import put_document
    from reports.documents.loads import shelf_document
    from reports.outputs.safe_write import refuse_existing, write_whole
    from reports.outputs.shelf_files import write_ranking
    from reports.tables.shelf_table import show_ranking
    from reports.tables.terminal import console, show_caution, working
    from reports.words.lean import lack_words

    car, limits = read_with_limits(options)
    say_where_readings_disagree(car)
    try:
        with working("finding the balance"):
            whole = whole_car(car)
    except NotReadyError as found:
        raise InputFaultError(options.car, [Fault("", lack_words(found.lacks))]) from None
    read = read_shelf(options.shelf, car)
    if options.table is not None:
        refuse_existing([Path(options.table)], replace=options.replace)
    with working("trying all combinations"), sharing(options.jobs) as executor:
        ranking = rank(whole, read, limits, executor=executor)
        travel = shelf_travel(car, read, ranking, limits.working)
    out = console()
    show_ranking(out, car, ranking, travel, limits.working, in_file=options.table is not None)
    if options.table is not None:
        write_whole(
            Path(options.table), lambda file: write_ranking(ranking, travel, car, file), replace=options.replace
        )
        say_written(Path(options.table))
    show_caution(out)
    put_document("shelf", car, lambda: shelf_document(ranking, travel, car))
    return WITHIN if bool((ranking.outside <= 0.0).any()) else OUTSIDE
