"""Addresses of the training package; every view behind them says who may open it."""

from django.urls import path

from training.views import (
    authority,
    board,
    crews,
    handson,
    home,
    imports,
    material,
    officers,
    people,
    pocket,
    practice,
    questions,
    quizzes,
    reading,
    register,
    rules,
    signin,
    standing,
    style,
)
from training.views import (
    path as path_views,
)

app_name = "training"

urlpatterns = [
    # signing in
    path("", home.home, name="home"),
    path("sign-in/", signin.sign_in, name="sign_in"),
    path("sign-out/", signin.sign_out, name="sign_out"),
    path("sign-in/secret/", signin.change_secret, name="change_secret"),
    # board
    path("board/", board.board_page, name="board"),
    path("board/export/", board.board_export, name="board_export"),
    # quiz
    path("quiz/", quizzes.quiz, name="quiz"),
    path("practice/", practice.practice, name="practice"),
    path("quiz/start/", quizzes.quiz_start, name="quiz_start"),
    path("quiz/<int:pk>/<int:number>/", quizzes.question, name="question"),
    path("quiz/<int:pk>/review/", quizzes.quiz_review, name="quiz_review"),
    path("quiz/<int:pk>/hand-in/", quizzes.quiz_hand_in, name="quiz_hand_in"),
    path("quiz/<int:pk>/result/", quizzes.quiz_result, name="quiz_result"),
    # hands-on
    path("evaluate/", handson.evaluate, name="evaluate"),
    path("evaluate/<int:pk>/", handson.sign_off_new, name="sign_off_new"),
    path("sign-off/<int:pk>/", handson.sign_off, name="sign_off"),
    path("sign-off/<int:pk>/part/<int:number>/", handson.sign_off_part, name="sign_off_part"),
    path("sign-off/<int:pk>/sign/", handson.sign_off_sign, name="sign_off_sign"),
    path("sign-off/<int:pk>/discard/", handson.sign_off_discard, name="sign_off_discard"),
    # standing and decisions
    path("people/<int:pk>/standing/", standing.standing, name="standing"),
    path("people/<int:pk>/decide/<slug:kind>/", standing.decide, name="decide"),
    # people and crews
    path("people/", people.people, name="people"),
    path("people/new/", people.person_new, name="person_new"),
    path("people/<int:pk>/", people.person, name="person"),
    path("people/<int:pk>/correct/", people.person_edit, name="person_edit"),
    path("people/<int:pk>/crew/", people.person_crew, name="person_crew"),
    path("people/<int:pk>/leave/", people.person_leave, name="person_leave"),
    path("people/<int:pk>/return/", people.person_return, name="person_return"),
    path("people/<int:pk>/sign-in/", people.person_access, name="person_access"),
    path("people/<int:pk>/photo/", people.person_photo, name="person_photo"),
    path("people/<int:pk>/photo/new/", people.person_photo_set, name="person_photo_set"),
    path("crews/", crews.crews, name="crews"),
    # crew lists
    path("imports/", imports.imports, name="imports"),
    path("imports/<int:pk>/", imports.crew_import, name="import"),
    path("imports/<int:pk>/columns/", imports.import_columns, name="import_columns"),
    path("imports/<int:pk>/rows/", imports.import_rows, name="import_rows"),
    path("imports/<int:pk>/confirm/", imports.import_confirm, name="import_confirm"),
    path("imports/<int:pk>/undo/", imports.import_undo, name="import_undo"),
    path("imports/<int:pk>/discard/", imports.import_discard, name="import_discard"),
    # officers, evaluators, rules, qualification
    path("officers/", officers.officers, name="officers"),
    path("officers/<int:pk>/end/", officers.officer_end, name="officer_end"),
    path("evaluators/", authority.authorities, name="authorities"),
    path("evaluators/<int:pk>/end/", authority.authority_end, name="authority_end"),
    path("rule-book/", rules.rule_books, name="rule_book"),
    path("rule-book/<int:pk>/questions/<slug:key>/", questions.rule_questions, name="rule_questions"),
    path("rule-book/<int:pk>/", rules.rule_book_revision, name="rule_book_revision"),
    path("pocket/", pocket.pocket, name="pocket"),
    path("qualification/", rules.qualification, name="qualification"),
    # documents and reading
    path("my/path/", path_views.path, name="path"),
    path("documents/", material.documents, name="documents"),
    path("documents/new/", material.document_new, name="document_new"),
    path("documents/<slug:slug>/", material.document, name="document"),
    path("documents/<slug:slug>/draft/", material.revision_draft, name="revision_draft"),
    path("documents/<slug:slug>/<int:number>/", material.revision, name="revision"),
    path("documents/<slug:slug>/<int:number>/issue/", material.revision_issue, name="revision_issue"),
    path("documents/<slug:slug>/<int:number>/readers/", material.readers, name="readers"),
    path("documents/<slug:slug>/<int:number>/new/", material.section_new, name="section_new"),
    path("documents/<slug:slug>/<int:number>/<slug:key>/", material.section_edit, name="section_edit"),
    path("documents/<slug:slug>/<int:number>/<slug:key>/move/", material.section_move, name="section_move"),
    path("documents/<slug:slug>/<int:number>/<slug:key>/remove/", material.section_remove, name="section_remove"),
    path("read/<slug:slug>/", reading.read, name="read"),
    path("read/<slug:slug>/again/", reading.read_again, name="read_again"),
    path("read/<slug:slug>/<int:number>/<slug:key>/", reading.read_section, name="read_section"),
    path("material/<int:pk>/<slug:which>/", reading.section_file, name="section_file"),
    # register
    path("register/", register.register, name="register"),
    path("register/<int:number>/", register.entry, name="entry"),
    # how it looks
    path("style/", style.style, name="style"),
]
