"""Asking, answering and reading threads; the page that sends a check-in clip."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from lessons.clips.models import Clip, Still
from lessons.questions import service
from lessons.questions.about import subject_named, subjects_of
from lessons.questions.check_ins import LONGEST_WORD, may_send
from lessons.questions.forms import MessageForm
from lessons.questions.models import Message, Thread
from lessons.students.models import Student
from lessons.students.views.loading import student_of_coach
from lessons.visits.models import Lesson

ON_A_PAGE = 50


@require_safe
def thread_list(request: HttpRequest) -> HttpResponse:
    """Every thread the person is in, those with something new first."""
    threads = Thread.objects.visible_to(request.user).for_list(request.user)
    page = Paginator(threads, ON_A_PAGE).get_page(request.GET.get("page"))
    students = Student.objects.visible_to(request.user).select_related("coach")
    mine = [] if request.user.is_coach else list(students)
    return render(request, "questions/list.html", {"page": page, "students": mine})


def thread_or_404(request: HttpRequest, pk: int) -> Thread:
    related = ("student__coach", "student__user", "lesson", "still", "given")
    threads = Thread.objects.visible_to(request.user).select_related(*related)
    return get_object_or_404(threads, pk=pk)


@require_safe
def thread(request: HttpRequest, pk: int) -> HttpResponse:
    """One thread; who opens it has read it."""
    found = thread_or_404(request, pk)
    response = _thread(request, found, MessageForm())
    service.mark_read(found, request.user)
    return response


@require_POST
def reply(request: HttpRequest, pk: int) -> HttpResponse:
    """Say something in a thread; a still may go with it."""
    found = thread_or_404(request, pk)
    form = MessageForm(request.POST)
    if form.is_valid():
        still = form.cleaned_data["still"]
        sent = None
        if still:
            sent = get_object_or_404(Still.objects.led_by(request.user).current(), pk=still)
        message = service.reply(
            found, request.user, form.cleaned_data["text"], form.cleaned_data["client_id"], sent
        )
        return _gone(request, message)
    return _thread(request, found, form, status=422)


@require_http_methods(["GET", "HEAD", "POST"])
def ask(request: HttpRequest, pk: int) -> HttpResponse:
    """A question about a lesson, or `about` a still or drill of it."""
    lessons = Lesson.objects.visible_to(request.user).posted().select_related("student__coach")
    lesson = get_object_or_404(lessons, pk=pk)
    if request.user.is_coach:
        raise Http404
    name = request.POST.get("about") or request.GET.get("about") or "recap"
    subject = subject_named(request.user, lesson, name)
    form = MessageForm(request.POST or None)
    if subject is None and request.method != "POST":
        raise Http404
    if subject is None:
        form.add_error(None, "That is not on the lesson's page any more. Choose again.")
    if form.is_valid() and subject is not None:
        text, client_id = form.cleaned_data["text"], form.cleaned_data["client_id"]
        return _gone(request, service.ask(subject, request.user, text, client_id))
    context = {
        "lesson": lesson,
        "student": lesson.student,
        "subject": subject,
        "subjects": subjects_of(lesson),
        "form": form,
    }
    status = 422 if form.is_bound else 200
    return render(request, "questions/ask.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def begin(request: HttpRequest, pk: int) -> HttpResponse:
    """The coach begins a thread with a student: about the newest posted lesson, if there is one."""
    student = student_of_coach(request, pk)
    lesson = student.lessons.posted().first()
    subjects = subjects_of(lesson) if lesson else []
    name = request.POST.get("about") or request.GET.get("about") or "recap"
    # Only what the student's page shows: a still that was left out of the recap is not theirs
    subject = next((one for one in subjects if one.name == name), None)
    form = MessageForm(request.POST or None)
    if form.is_bound and subjects and subject is None:
        form.add_error(None, "That is not on the lesson's page any more. Choose again.")
    if form.is_valid():
        text, client_id = form.cleaned_data["text"], form.cleaned_data["client_id"]
        return _gone(request, service.begin(student, request.user, text, client_id, subject))
    context = {
        "student": student,
        "told": service.family_of(student),
        "subject": subject,
        "subjects": subjects,
        "form": form,
    }
    status = 422 if form.is_bound else 200
    return render(request, "questions/begin.html", context, status=status)


@require_safe
def check_in(request: HttpRequest, pk: int) -> HttpResponse:
    """Film or choose a clip for the coach; with `thread` it goes into that thread."""
    students = Student.objects.visible_to(request.user).select_related("coach", "user")
    student = get_object_or_404(students, pk=pk)
    if not may_send(request.user, student):
        raise Http404
    key = request.GET.get("thread", "")
    threads = Thread.objects.filter(student=student)
    into = get_object_or_404(threads, pk=key) if key.isdecimal() and len(key) < 19 else None
    context = {
        "student": student,
        "thread": into,
        "views": Clip.View.choices,
        "longest": LONGEST_WORD,
        "lesson": student.lessons.posted().first(),
    }
    return render(request, "questions/check_in.html", context)


def _gone(request: HttpRequest, message: Message) -> HttpResponse:
    """To the message in its thread."""
    place = f"{message.thread.get_absolute_url()}#message-{message.pk}"
    if request.htmx:  # type: ignore[attr-defined]
        response = HttpResponse(status=204)
        response["HX-Redirect"] = place
        return response
    return redirect(place)


def _thread(
    request: HttpRequest, thread: Thread, form: MessageForm, status: int = 200
) -> HttpResponse:
    messages = Message.objects.filter(thread=thread)
    related = ("by", "clip", "still__clip", "still__mark_set")
    said = list(messages.select_related(*related))
    new = set(messages.unread_by(request.user).values_list("pk", flat=True))
    context = {
        "thread": thread,
        "student": thread.student,
        "said": said,
        "new": new,
        "form": form,
        "in_flight": any(m.clip and m.clip.in_flight for m in said),
        "may_send": may_send(request.user, thread.student),
        "is_coach": request.user.is_coach,
    }
    return render(request, "questions/thread.html", context, status=status)
